"""Published generalised-assignment instances as request files, and their published optima.

    published.py write BENCH_DATA FOLDER      writes the files and `optima.json`
    published.py compare FOLDER               reads `ours.ndjson`; ends with `N passed, M failed`

An agent is a centre with one pool measured by size, a job an indivisible request of one animal, a cost
the minutes on the road. For the maximisation the minutes are what is lacking to the dearest.
The facility-location instances of the same collection are not written so: their fixed cost is for a
centre that is used at all, the model's for a pair of request and centre.
"""

import csv
import json
import sys
from pathlib import Path


def numbers(path):
    words = iter(path.read_text().split())
    agents, jobs = int(next(words)), int(next(words))
    table = lambda: [[int(next(words)) for _ in range(jobs)] for _ in range(agents)]
    return table(), table(), [int(next(words)) for _ in range(agents)]


def request_file(costs, needs, capacities):
    agents = range(len(capacities))
    return {
        "centres": [{"centreID": f"c{i}", "latitude": 22.0, "longitude": 78.0, "vetLevel": "surgery",
                     "licences": [{"scope": ["Testudines"], "status": "inForce"}]} for i in agents],
        "units": [{"unitID": "u", "centreID": f"c{i}", "unitKind": "pool", "arrangement": "communal",
                   "suits": ["Testudines"], "freeSize": capacities[i]} for i in agents],
        "roads": {},
        "requests": [{
            "requestID": f"j{j}", "scientificName": "Lissemys punctata", "indivisible": True,
            "length": {"value": 0.2, "measure": "straightCarapaceLength", "method": "taped"},
            "sex": "female", "lifeStage": "juvenile", "triage": "green", "stay": "long",
            "from": {"placeID": "yard"}, "fitToTravel": {"fit": "yes"},
            "minutes": {f"c{i}": costs[i][j] for i in agents},
            "sizes": [{"centreID": f"c{i}", "unitID": "u", "size": needs[i][j]} for i in agents],
        } for j in range(len(costs[0]))],
    }


def write(data, folder):
    optima = {}
    with open(data / "gap/optima.csv", newline="") as rows:
        for row in csv.DictReader(rows):
            costs, needs, capacities = numbers(data / f"gap/{row['instance']}.txt")
            dearest = max(map(max, costs))
            lacking = [[dearest - cost for cost in line] for line in costs]
            for name, table, optimum in (
                ("min", costs, int(row["min_optimum"])),
                ("max", lacking, dearest * len(costs[0]) - int(row["max_optimum_orlibrary"])),
            ):
                path = folder / f"{row['instance']}-{name}.json"
                path.write_text(json.dumps(request_file(table, needs, capacities)))
                optima[str(path)] = optimum
    (folder / "optima.json").write_text(json.dumps(optima))


def compare(folder):
    optima = json.loads((folder / "optima.json").read_text())
    passed = failed = 0
    for line in (folder / "ours.ndjson").read_text().splitlines():
        one = json.loads(line)
        stages = one.get("plan", {}).get("stages", [])
        found = [(stage["objective"], stage["gap"]) for stage in stages][:4]
        expected = [(0, 0), (0, 0), (0, 0), (optima.pop(one["file"]), 0)]
        if found == expected:
            passed += 1
        else:
            failed += 1
            print(f"{one['file']}: {found}, published {expected[3][0]} {one.get('fault', '')}")
    failed += len(optima)
    print(f"{passed} passed, {failed} failed")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    if sys.argv[1] == "write":
        write(Path(sys.argv[2]), Path(sys.argv[3]))
    else:
        compare(Path(sys.argv[2]))
