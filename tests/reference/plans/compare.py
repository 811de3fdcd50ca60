"""Holds our plans against the model written down again, stage by stage.

    compare.py FOLDER

FOLDER holds the instances and `ours.ndjson` (what the example `plan` printed). Counts for each family of
rows in how many instances the optimum changes when it is left out: a family that never binds is a family
that nobody tested. Ends with a line `N passed, M failed`.
"""

import json
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import model

SHARE = 0.1  # Of the instances in which each family must bind.


def reference(path):
    file = json.loads(Path(path).read_text())
    whole = model.solve(file)
    bind = [family for family in model.FAMILIES if model.solve(file, (family,)) != whole]
    return whole, bind


def main(folder):
    ours = [json.loads(line) for line in (folder / "ours.ndjson").read_text().splitlines()]
    with ProcessPoolExecutor(2) as pool:
        references = list(pool.map(reference, [one["file"] for one in ours]))
    passed = failed = 0
    binds = dict.fromkeys(model.FAMILIES, 0)
    placed = stay = 0
    for one, (expected, bind) in zip(ours, references):
        for family in bind:
            binds[family] += 1
        stages = one.get("plan", {}).get("stages", [])
        found = [stage["objective"] for stage in stages]
        proven = all(stage["gap"] == 0 and stage["bound"] == stage["objective"] for stage in stages)
        if found == expected and proven:
            passed += 1
            placed += sum(place["individualCount"] for place in one["plan"]["assignments"])
            stay += sum(place["individualCount"] for place in one["plan"]["unplaced"])
        else:
            failed += 1
            print(f"{one['file']}: {found}{'' if proven else ' not proven'}, expected {expected} {one.get('fault', '')}")
    print(f"{len(ours)} instances, {placed} animals placed, {stay} unplaced")
    for family, count in binds.items():
        print(f"  {family} binds in {count}")
        if count < SHARE * len(ours):
            failed += 1
            print(f"  too few: {family} must bind in a tenth")
        else:
            passed += 1
    print(f"{passed} passed, {failed} failed")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
