"""Random regions of four sizes: lots x centres x units.

Space follows from the species profiles; rows of one to five units alike; licences, arrivals, crews and
vehicles are scarce in a part of the centres. The same size and seed give the same file.
"""

import math
import random

SIZES = [(10, 6, 60), (40, 20, 300), (100, 60, 600), (300, 60, 1500)]
KINDS = [("Lissemys punctata", 0.14, 0.26), ("Nilssonia gangetica", 0.20, 0.36), ("Pangshura tecta", 0.10, 0.20),
         ("Melanochelys trijuga", 0.12, 0.26), ("Hardella thurjii", 0.18, 0.34), ("Geoclemys hamiltonii", 0.15, 0.32),
         ("Indotestudo elongata", 0.16, 0.32), ("Geochelone elegans", 0.12, 0.28)]
FAMILIES = ["Trionychidae", "Geoemydidae", "Testudinidae"]


def minutes(one, other):
    """Straight line times 1.4 at 40 km/h, by the hundredth of a degree."""
    kilometres = math.hypot((one[0] - other[0]) * 111, (one[1] - other[1]) * 103)
    return math.ceil(kilometres * 1.4 / 40 * 60)


def region(lots, centres, units, seed=5):
    luck = random.Random(f"{lots} {centres} {units} {seed}")
    spread = 1.2 if centres < 10 else 2.5
    place = lambda: (round(22 + luck.uniform(-spread, spread), 2), round(79 + luck.uniform(-spread, spread), 2))
    places = [place() for _ in range(centres)]
    yards = [place() for _ in range(max(2, lots // 8))]
    file = {"centres": [], "units": [], "roads": {}, "requests": []}
    for at, (latitude, longitude) in enumerate(places):
        scope = luck.sample(FAMILIES, luck.choice([2, 3, 3]))
        one = {"centreID": f"c{at}", "latitude": latitude, "longitude": longitude, "heads": luck.randint(150, 400), "vetLevel": "surgery",
               "licences": [{"scope": [family], "status": "inForce"} for family in scope]}
        for line in one["licences"]:
            if luck.random() < 0.2:
                line["headsLimit"] = luck.randint(15, 80)
        if luck.random() < 0.25:
            one["arrivalsPerDay"] = luck.randint(40, 150)
        if luck.random() < 0.15:
            one["crewsTonight"] = luck.randint(3, 8)
        if luck.random() < 0.15:
            one["vehicleMinutes"] = luck.randint(600, 1800)
        file["centres"].append(one)
    left, at = units, 0
    while left > 0:
        number = min(left, luck.randint(1, 5))
        left -= number
        communal = luck.random() < 0.1
        size = luck.choice([1, 1.5, 2, 2.5])
        for _ in range(number if communal else 1):
            centre = at % centres if at < centres else luck.randrange(centres)
            kept = [line["scope"] for line in file["centres"][centre]["licences"]]
            one = {"unitID": f"u{at}", "centreID": f"c{centre}",
                   "unitKind": "pool" if communal else "isolation",
                   "arrangement": "communal" if communal else "isolating",
                   "suits": ["Testudines"] if luck.random() < 0.4 else luck.choice(kept),
                   "landSquareMetre": round(5.0 * size, 1), "waterSquareMetre": round(luck.choice([0.8, 1.2, 1.6]) * size, 2),
                   "depthMetre": luck.choice([0.6, 0.8, 1.0])}
            if not communal:
                one["units"] = number
            if luck.random() < 0.7:
                one["headsLimit"] = luck.randint(6, 14)
            if luck.random() < 0.05:
                one["waterCircuit"] = f"w{luck.randrange(3)}"
            file["units"].append(one)
            at += 1
    for at in range(lots):
        name, low, high = luck.choice(KINDS)
        yard = luck.choice(yards)
        file["requests"].append({
            "requestID": f"r{at}", "scientificName": name, "individualCount": max(1, round(luck.gammavariate(1.5, 17))),
            "length": {"value": round(luck.uniform(low, high), 2), "measure": "straightCarapaceLength", "method": "taped"},
            "sex": "female", "lifeStage": "juvenile", "crew": 1 if luck.random() < 0.5 else 0,
            "triage": luck.choice(["red", "yellow", "yellow", "green", "green"]),
            "stay": "long" if luck.random() < 0.2 else "quarantine",
            "from": {"latitude": yard[0], "longitude": yard[1]}, "fitToTravel": {"fit": "yes"},
            "minutes": {f"c{centre}": minutes(yard, where) for centre, where in enumerate(places)},
        })
    return file
