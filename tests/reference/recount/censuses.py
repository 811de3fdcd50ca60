"""What censuses say: the last count of each place, and who posted which night."""

from datetime import timedelta

import times
from names import Names
from postings import place


def counting(known, at):
    """The records that count at an instant, each in its highest revision, with its stamp."""
    highest = {}
    for stamp, record in known:
        key = record["authorID"], record["recordID"]
        if stamp <= at and (key not in highest or highest[key][1]["revision"] < record["revision"]):
            highest[key] = stamp, record
    return [(stamp, record) for stamp, record in highest.values() if not record.get("withdrawn")]


def counted(region, records, first, last):
    """What each place's last census of a period says: {(account, name, commodity): (day, count)}, None where a
    part of them could not be counted. A complete census says zero of what it does not name: that is told under
    the account alone."""
    accepted = Names(region).accepted
    censuses = {}
    for record in records:
        day = times.last_day(record["eventDate"])
        if record["kind"] == "census" and first <= day <= last:
            censuses.setdefault(place(record), {}).setdefault(day, []).append(record)
    found = {}
    for account, by_day in censuses.items():
        day = max(by_day)
        if len(by_day[day]) > 1:
            raise SystemExit(f"{account} has several censuses of {day}: beyond this recount")
        [record] = by_day[day]
        if record["complete"]:
            found[account] = day.isoformat(), 0
        sums = {}
        for line in record["lines"]:
            commodity = "eggs" if line.get("lifeStage") == "egg" else "animals"
            sums.setdefault((account, accepted(line["scientificName"]), commodity), []).append(
                None if line.get("notCountable") else line["individualCount"])
        for key, counts in sums.items():
            found[key] = None if None in counts else (day.isoformat(), sum(counts))
    return found


def census_faults(region, records, period, statement):
    """What is wrong with the census cells of a statement, which has a row for whatever was counted."""
    ours = counted(region, records, *times.period(period))
    faults, told = [], set()
    for row in statement["account"]["rows"]:
        key = place(row), row["scientificName"], row["commodity"]
        told.add(key)
        stated = row["census"] and (row["census"]["day"], row["census"]["individualCount"])
        recounted = ours[key] if key in ours else ours.get(key[0])
        if stated != recounted:
            faults.append(f"{', '.join(key)}: census recounted {recounted}, stated {stated}")
    return faults + [f"{', '.join(key)}: counted {cell}, no row" for key, cell in ours.items()
                     if isinstance(key, tuple) and key not in told and cell and cell[1]]


def nights(region, records, first, last):
    """Of each centre: the nights from one day through another, how many it posted, and the missing ones. A
    night is posted when a census for that day counts."""
    days = [(first + timedelta(n)).isoformat() for n in range((last - first).days + 1)]
    posted = {(place(record), times.last_day(record["eventDate"]).isoformat())
              for record in records if record["kind"] == "census"}
    found = {}
    for centre in (party["partyID"] for party in region["parties"] if party["role"] == "centre"):
        missing = [day for day in days if (f"centre/{centre}", day) not in posted]
        found[centre] = (len(days), len(days) - len(missing), missing)
    return found
