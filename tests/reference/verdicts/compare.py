"""Holds the verdicts of all validators against each other, record by record.

    compare.py FOLDER

FOLDER holds `records.ndjson`, `what.ndjson`, `python.ndjson`, `ajv.ndjson` and `haulout.json` (what
`haulout check --format json` printed). Ends with a line `N passed, N failed`.
"""

import json
import sys
from pathlib import Path

SHOWN = 20  # Mismatches printed in full.


def rows(path):
    return path.read_text(encoding="utf-8").removesuffix("\n").split("\n")


def ours(report, count):
    """Our verdict on each line: refused where the text or the schema is at fault."""
    refused = {
        problem["line"]: problem
        for problem in report["problems"]
        if problem["severity"] == "error" and problem["layer"] in ("read", "schema")
    }
    counts = report["counts"]
    if counts["records"] != count or counts["valid"] != count - len(refused):
        sys.exit(f"haulout counts {counts['records']} records, {counts['valid']} valid; "
                 f"sent {count}, of which it refused {len(refused)}")
    if report["valid"] != (not refused):
        sys.exit("haulout's `valid` does not follow from its problems")
    return [line not in refused for line in range(1, count + 1)]


def main(folder):
    records = rows(folder / "records.ndjson")
    what = [json.loads(row) for row in rows(folder / "what.ndjson")]
    said = [[json.loads(row) for row in rows(folder / name)] for name in ("python.ndjson", "ajv.ndjson")]
    mine = ours(json.loads((folder / "haulout.json").read_text(encoding="utf-8")), len(records))
    if not len(records) == len(what) == len(said[0]) == len(said[1]):
        sys.exit("not every validator answered every record")
    passed = failed = valid = 0
    for line, (record, about, python, ajv, haulout) in enumerate(zip(records, what, *said, mine), 1):
        verdicts = {"haulout": haulout, **python, **ajv}
        if about["expected"] is not None:
            verdicts["expected"] = about["expected"]
        if len(set(verdicts.values())) == 1:
            passed += 1
            valid += haulout
            continue
        failed += 1
        if failed <= SHOWN:
            print(f"line {line}, {about['kind']}, {about['what']}:\n  {record[:2000]}")
            for name, verdict in verdicts.items():
                print(f"  {'valid  ' if verdict else 'refused'} {name}")
    print(f"{valid} records valid, {passed - valid} refused by all")
    if min(valid, passed - valid) * 10 < passed:
        sys.exit("too one-sided to mean anything: a tenth at least should be valid, and a tenth refused")
    print(f"{passed} passed, {failed} failed")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
