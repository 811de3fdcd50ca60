"""Judges records with the Python validator `jsonschema`, by the file of the kind and by the file of
any record, with and without format checks.

    judge_python.py RECORDS.ndjson VERDICTS.ndjson
"""

import json
import sys

from jsonschema import Draft202012Validator

from schema_files import any_record, by_kind


def validators(schema):
    Draft202012Validator.check_schema(schema)
    return {
        "formats off": Draft202012Validator(schema),
        "formats on": Draft202012Validator(schema, format_checker=Draft202012Validator.FORMAT_CHECKER),
    }


def main(records, verdicts):
    whole = validators(any_record())
    kinds = {kind: validators(schema) for kind, schema in by_kind().items()}
    with open(records, encoding="utf-8", newline="\n") as lines, open(verdicts, "w", encoding="utf-8") as out:
        for line in lines:
            record = json.loads(line)
            said = {f"python any, {name}": judge.is_valid(record) for name, judge in whole.items()}
            kind = record.get("kind") if isinstance(record, dict) else None
            # Which file to use is the caller's to know; a kind without a file is no record.
            judges = kinds.get(kind) if isinstance(kind, str) else None
            for name in whole:
                said[f"python kind, {name}"] = judges is not None and judges[name].is_valid(record)
            out.write(json.dumps(said) + "\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
