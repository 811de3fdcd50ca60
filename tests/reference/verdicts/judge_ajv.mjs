// Judges records with the JavaScript validator `ajv`, by the file of the kind and by the file of any
// record, with and without format checks.
//
//     node judge_ajv.mjs SCHEMAS RECORDS.ndjson VERDICTS.ndjson LIBRARIES
//
// ajv runs in its strict mode with nothing let off but `strictRequired`: the conditions of a kind
// require fields that are described at the top of the file, where that check does not look.
import { createRequire } from "node:module";
import { readFileSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const [schemas, records, verdicts, libraries] = process.argv.slice(2);
const require = createRequire(join(libraries, "package.json"));
const { Ajv2020 } = require("ajv/dist/2020");
const addFormats = require("ajv-formats").default;

const read = (name) => JSON.parse(readFileSync(join(schemas, name), "utf8"));
const names = readdirSync(schemas).filter((name) => name.endsWith(".schema.json"));

function judges(formats) {
  const ajv = new Ajv2020({ strict: true, strictRequired: false, validateFormats: formats });
  if (formats) addFormats(ajv);
  const made = new Map(names.map((name) => [name.replace(".schema.json", ""), ajv.compile(read(name))]));
  const any = made.get("record");
  made.delete("record");
  return { any, kinds: made };
}

const settings = { "formats off": judges(false), "formats on": judges(true) };
const said = readFileSync(records, "utf8").split("\n").slice(0, -1).map((line) => {
  const record = JSON.parse(line);
  const verdict = {};
  for (const [name, { any, kinds }] of Object.entries(settings)) {
    const kind = typeof record?.kind === "string" ? kinds.get(record.kind) : undefined;
    verdict[`ajv any, ${name}`] = any(record);
    verdict[`ajv kind, ${name}`] = kind !== undefined && kind(record);
  }
  return JSON.stringify(verdict);
});
writeFileSync(verdicts, said.join("\n") + "\n");
