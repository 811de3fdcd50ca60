"""Writes random request files, small enough to be solved to the end by any solver.

    generate.py FOLDER COUNT SEED

Every family of rows of the planning model binds in a share of them. Figures are stated in some and left
to the rules in others. The same seed writes the same files.
"""

import json
import random
import sys
from pathlib import Path

KINDS = [  # species, lengths in metres that need one keeper
    ("Lissemys punctata", (0.14, 0.24)),
    ("Nilssonia gangetica", (0.20, 0.40)),
    ("Pangshura tecta", (0.10, 0.20)),
    ("Melanochelys trijuga", (0.12, 0.24)),
    ("Hardella thurjii", (0.20, 0.40)),
    ("Indotestudo elongata", (0.16, 0.30)),
]
SCOPES = [["Testudines"], ["Testudines"], ["Trionychidae", "Geoemydidae"], ["Geoemydidae", "Testudinidae"],
          ["Trionychidae", "Testudinidae"]]
FEATURES = ["caps", "sizes", "licences", "arrivals", "circuits", "crews", "vehicles", "company", "indivisible",
            "pins", "forbids", "evacuate"]


def length(luck, bounds):
    return {"value": round(luck.uniform(*bounds), 2), "measure": "straightCarapaceLength", "method": "taped"}


def animals(luck):
    name, bounds = luck.choice(KINDS)
    return {"scientificName": name, "length": length(luck, bounds), "sex": "female", "lifeStage": "juvenile"}


def centre(luck, at, on):
    one = {"centreID": f"c{at}", "latitude": 22.0 + at / 10, "longitude": 78.0, "vetLevel": "surgery",
           "licences": [{"scope": luck.choice(SCOPES), "status": "inForce"}]}
    if luck.random() < 0.7:
        one["heads"] = luck.randint(20, 80)
    if "licences" in on and luck.random() < 0.7:
        one["licences"][0]["headsLimit"] = luck.randint(2, 16)
        if luck.random() < 0.3:
            one["licences"].append({"scope": ["Trionychidae"], "status": luck.choice(["inForce", "underRenewal"]),
                                    "headsLimit": luck.randint(1, 8)})
    if "arrivals" in on and luck.random() < 0.8:
        one["arrivalsPerDay"] = luck.randint(2, 14)
        one["arrivedToday"] = luck.randint(0, 3)
    if "crews" in on and luck.random() < 0.8:
        one["crewsTonight"] = luck.randint(0, 2)
    if "vehicles" in on and luck.random() < 0.8:
        one["vehicleMinutes"] = luck.randint(60, 400)
    if luck.random() < 0.3:
        one["unhoused"] = [{**animals(luck), "individualCount": luck.randint(1, 3)}]
    return one


def unit(luck, at, centres, on):
    communal = luck.random() < (0.9 if {"company", "sizes"} & on else 0.25)
    one = {"unitID": f"u{at}", "centreID": f"c{luck.randrange(centres)}", "unitKind": "pool" if communal else "isolation",
           "arrangement": "communal" if communal else "isolating", "suits": ["Testudines"],
           "landSquareMetre": round(luck.uniform(2, 7), 1), "waterSquareMetre": round(luck.uniform(0.5, 4), 2),
           "depthMetre": round(luck.uniform(0.3, 1.0), 2)}
    if not communal:
        one["units"] = luck.choice([1, 1, 2, 3, 4])
        if one["units"] > 1 and luck.random() < 0.4:
            one["freeUnits"] = luck.randint(1, one["units"])
    if luck.random() < 0.5:
        one["headsLimit"] = luck.randint(1, 8)
    if luck.random() < 0.2:
        one["lengthLimit"] = {"metre": 0.25, "measure": "straightCarapaceLength"}
    if luck.random() < 0.15:
        one["stays"] = luck.choice([["quarantine"], ["long", "quarantine"]])
    if "circuits" in on and luck.random() < 0.9:
        one["waterCircuit"] = "w"
    if communal and "sizes" in on and luck.random() < 0.6:
        one["freeSize"] = luck.randint(8, 40)
    if communal and luck.random() < 0.3:
        one["occupants"] = [{**animals(luck), "individualCount": luck.randint(1, 2)}]
    return one


def request(luck, at, centres, units, on):
    one = {"requestID": f"r{at}", **animals(luck), "individualCount": luck.randint(1, 10),
           "triage": luck.choice(["red", "yellow", "green", "green"]),
           "stay": "long" if luck.random() < (0.8 if {"company", "sizes"} & on else 0.2) else "quarantine",
           "from": {"placeID": "yard"}, "fitToTravel": {"fit": "yes"},
           "minutes": {f"c{at}": luck.randint(5, 200) for at in range(centres)}}
    if luck.random() < 0.25:
        one["earliestDeparture"] = "2026-07-10T20:00:00+05:30"
    if "indivisible" in on and luck.random() < 0.7:
        one["indivisible"] = True
    if "crews" in on:
        one["crew"] = luck.choice([0, 1, 1, 2])
    if "vehicles" in on and luck.random() < 0.5:
        one["tripMinutes"] = {f"c{at}": luck.randint(30, 300) for at in range(centres)}
    if "caps" in on:
        chosen = [unit for unit in units if luck.random() < 0.5]
        one["caps"] = [{"centreID": unit["centreID"], "unitID": unit["unitID"], "cap": luck.randint(0, 6)}
                       for unit in chosen]
    sized = [unit for unit in units if "freeSize" in unit]
    if sized:
        one["sizes"] = [{"centreID": unit["centreID"], "unitID": unit["unitID"], "size": luck.randint(2, 9)}
                        for unit in sized if luck.random() < 0.9]
    if luck.random() < 0.3:
        one["batchID"] = luck.choice(["b1", "b2", f"own{at}"])
        if luck.random() < 0.5:
            one["mayRedateBatchIDs"] = ["b1", "b2"]
    return one


def instance(luck):
    on = set(luck.sample(FEATURES, luck.randint(3, 7)))
    if luck.random() < 0.4:
        # Who may live with whom binds only where several could share a pool.
        on.add("company")
    centres = luck.randint(2, 4)
    file = {"centres": [centre(luck, at, on) for at in range(centres)],
            "units": [unit(luck, at, centres, on) for at in range(luck.randint(3, 8))],
            "roads": {}}
    file["requests"] = [request(luck, at, centres, file["units"], on) for at in range(luck.randint(3, 8))]
    if luck.random() < 0.4:
        file["costs"] = {"fixedMinutes": luck.choice([20, 90, 300])}
    if luck.random() < 0.3:
        file.setdefault("costs", {})["frailty"] = {"red": 5, "yellow": 2, "green": 1}
    if luck.random() < 0.1:
        file["roads"]["closures"] = [{"placeID": f"c{luck.randrange(centres)}", "from": "2026-07-01T00:00:00+05:30"}]
    for name, share in (("pins", 0.4), ("forbids", 0.8)):
        if name in on:
            file[name] = []
            for one in file["requests"]:
                if luck.random() < share:
                    chosen = luck.choice(file["units"])
                    bound = {"requestID": one["requestID"], "centreID": chosen["centreID"]}
                    if luck.random() < 0.5:
                        bound["unitID"] = chosen["unitID"]
                    file[name].append(bound)
    if "evacuate" in on and luck.random() < 0.6:
        emptied = luck.randrange(centres)
        file["evacuate"] = [{"centreID": f"c{emptied}", "triage": luck.choice(["red", "green"]), "stay": "long",
                             "fitToTravel": {"fit": "no", "vetsWord": "duty veterinarian"}}]
        file["roads"]["travel"] = [{"from": f"c{emptied}", "to": f"c{at}", "minutes": luck.randint(5, 200)}
                                   for at in range(centres) if at != emptied]
    return file


def far_away(luck, file):
    """Some journeys longer than animals bear: to the minute, by a minute, by far."""
    for one in file["requests"]:
        for name in one["minutes"]:
            if luck.random() < 0.5:
                one["minutes"][name] = luck.choice([360, 361, 720, 721, 1440, 1441, luck.randint(200, 1600)])
    if luck.random() < 0.3:
        file["settings"] = {"bearableHours": {"red": luck.randint(2, 6), "yellow": luck.randint(3, 12), "green": 24}}


def pools(luck, file):
    """Rows of pools that requests may share; in some files one pool is wide, at a centre that takes
    all, so that who may live with whom is what keeps them out."""
    shared = [one for one in file["units"] if one["arrangement"] == "communal"]
    for one in shared:
        if "occupants" not in one and luck.random() < 0.2:
            one["units"] = luck.choice([2, 2, 3])
    if shared and luck.random() < 0.3:
        wide = luck.choice(shared)
        for limit in ("headsLimit", "freeSize", "stays"):
            wide.pop(limit, None)
        wide.update(landSquareMetre=20, waterSquareMetre=20, depthMetre=1)
        home = next(one for one in file["centres"] if one["centreID"] == wide["centreID"])
        home["licences"][0]["scope"] = ["Testudines"]
        for limit in ("arrivalsPerDay", "crewsTonight", "vehicleMinutes"):
            home.pop(limit, None)
        for one in file["requests"]:
            one["stay"] = "long"


def main(folder, count, seed):
    print(f"seed {seed}, {count} instances")
    luck = random.Random(seed)
    for at in range(count):
        file = instance(luck)
        far = random.Random(f"far away {seed} {at}")
        if far.random() < 0.35:
            far_away(far, file)
        pools(random.Random(f"pools {seed} {at}"), file)
        (folder / f"instance-{at:04}.json").write_text(json.dumps(file, indent=1))


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
