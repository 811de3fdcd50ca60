"""An invented basin and journeys of one, three and five species in it."""

ZONE = "+05:30"
YARD, POLICE, DESHARU = "meruva.yard", "meruva.police", "meruva.desharu"


def region():
    def centre(name, latitude, longitude):
        return {"partyID": f"meruva.{name.lower()}", "role": "centre", "name": name, "latitude": latitude,
                "longitude": longitude}

    office = [("police", "agency", "Police post at the ford"), ("coordination", "coordination", "Coordination"),
              ("authority", "authority", "Licensing authority")]
    return {
        "region": "meruva", "name": "Meruva basin", "timeZone": "Asia/Kolkata",
        "parties": [centre("Desharu", 22.8, 78.9), centre("Kolvani", 22.5, 78.4)]
        + [{"partyID": f"meruva.{name}", "role": role, "name": title} for name, role, title in office],
        "points": [{"pointID": YARD, "name": "Police yard at the ford", "keeperID": POLICE, "latitude": 22.35,
                    "longitude": 78.2, "longestHours": 48}],
        "travelMinutes": [{"fromID": YARD, "toID": DESHARU, "minutes": 260}],
    }


# Species, number, length in metre and its measure, injuries, mass in kilogram of a single animal.
SHELL = "straightCarapaceLength"
GROUPS = [
    ("Crocodylus palustris", 1, 3.38, "totalLength", ["snare wound at the left hind leg", "hook in the jaw"], 150),
    ("Lissemys punctata", 190, 0.24, SHELL, ["cord round the limbs"], None),
    ("Nilssonia gangetica", 64, 0.55, SHELL, ["spit through the shell edge"], None),
    ("Pangshura tecta", 31, 0.18, SHELL, [], None),
    ("Hardella thurjii", 18, 0.45, SHELL, ["cracked shell"], None),
]


def record(number, kind, at, **fields):
    return {"recordID": f"{kind}-{number}", "revision": 1, "kind": kind, "schemaVersion": "1.0", "authorID": POLICE,
            "pointID": YARD, "eventDate": at, **fields}


def journey(number, groups):
    """Records of a journey from the yard to Desharu, of the first so many groups."""
    lines, crates, records = [], [], []
    for nth, (name, count, length, measure, injuries, mass) in enumerate(GROUPS[:groups]):
        key = f"{number}{nth}"
        subject = {"organismID": f"{POLICE}:{key}"} if count == 1 else {"lotID": f"{POLICE}:lot-{key}"}
        day = "2026-07-09T06:10"
        measured = [{"value": length, "measure": measure, "method": "taped"}]
        records.append(record(key, "rescue", f"{day}{ZONE}", **subject, scientificName=name, event="fromWild",
                              source="wild", individualCount=count, countMethod="counted", injuries=injuries,
                              lengthsMetre=measured))
        fit = {"event": "beforeTransport", "fitToTravel": "yes", "byVeterinarian": True}
        if mass:
            fit["massKilogram"] = mass
        records.append(record(key, "assessment", f"2026-07-09T07:00{ZONE}", **subject, scientificName=name, **fit))
        if count == 1:
            records.append(record(f"{key}-on", "treatment", f"2026-07-09T06:20{ZONE}", **subject, scientificName=name,
                                  event="bindingOn", bindingSite="jaws"))
            records.append(record(f"{key}-drug", "treatment", f"2026-07-09T08:00{ZONE}", **subject, scientificName=name,
                                  event="drug", drug="meloxicam", route="intramuscular"))
        crate = {"crateID": f"{number}-{nth + 1}"}
        crates.append({**crate, "disinfected": "yes" if nth else "unknown"})
        lines.append({**subject, "scientificName": name, "individualCount": count, **crate})
    records.append(record(number, "dispatch", f"2026-07-09T20:30{ZONE}", consignmentID=f"{POLICE}:{number}",
                          destination="region", destinationID=DESHARU, lines=lines, crates=crates,
                          expectedArrival=f"2026-07-10T00:50{ZONE}"))
    return records
