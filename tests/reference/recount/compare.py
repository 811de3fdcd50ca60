"""Holds the hub's statements against the recount, figure by figure.

    compare.py HAULOUT FOLDER [--seed N] [--basins N] [--invented N] [--nights N]

Each comparison is one line: a period of a region as known at an instant. Then alters single records of its
own input, each of which must make a difference. Ends with a line `N passed, N failed`.
"""

import argparse
import copy
import json
import random
import secrets
from collections import Counter
from datetime import date, timedelta
from hashlib import sha256
from pathlib import Path

import scenes
import times
from postings import postings
from recount import Books

PERIODS = ["2026-07", "2026-09", "2026-Q3"]
ALL = "2026"
WHENS = ["beforeRescue", "inTransit", "within48h", "inCare"]
EMPTY = {"opening": 0, "in": {}, "out": {}, "closing": 0, "stages": {}}
SHOWN = 8  # Differences printed of one comparison.


class Count:
    """Comparisons that agreed, and that did not."""

    def __init__(self):
        self.passed = self.failed = 0

    def of(self, title, faults):
        """One comparison: its line, and what is wrong with it."""
        print(f"{'WRONG' if faults else 'right'} {title}", flush=True)
        for fault in faults[:SHOWN]:
            print(f"    {fault}")
        if len(faults) > SHOWN:
            print(f"    and {len(faults) - SHOWN} more")
        self.passed += not faults
        self.failed += bool(faults)


def flat(account):
    """Figure by figure: {(where, which): number}. What is not told is zero."""
    figures = {}
    for key, row in account["rows"].items():
        if not (row["opening"] or row["closing"] or row["in"] or row["out"]):
            continue  # Nothing to tell, so no row, even where its stages do not cancel out.
        for figure in EMPTY:
            values = row[figure] if isinstance(row[figure], dict) else {"": row[figure]}
            figures |= {(*key, f"{figure} {counter}".strip()): value for counter, value in values.items()}
    figures |= {("deaths", when): account["deaths"].get(when, 0) for when in {*WHENS, *account["deaths"]}}
    for key, (count, records) in account["beside"].items():
        figures |= {(*key, "individualCount"): count, (*key, "records"): records}
    return figures


def stated(statement):
    """The hub's statement in the recount's form; a row told twice or without a place is a fault."""
    rows, beside, faults = {}, {}, []
    account = statement["account"]
    for field, kind, told in (("centreID", "centre", account["rows"]), ("pointID", "point", account["rows"]),
                              ("consignmentID", "transit", account["transit"])):
        for row in told:
            key = (f"{kind}/{row.get(field)}", row["scientificName"], row["commodity"])
            if key in rows:
                faults.append(f"{' '.join(key)}: told twice")
            if field in row:
                rows[key] = {figure: row.get(figure, empty) for figure, empty in EMPTY.items()}
    if len(rows) != len(account["rows"]) + len(account["transit"]):
        faults.append("some rows name no place, or two")
    for kind, told in (("relocation", statement["relocations"]), ("nest", statement["nests"])):
        beside |= {(kind, one["centreID"], one["scientificName"]): (one.get("individualCount", 0), one["records"])
                   for one in told}
    return {"rows": rows, "deaths": account["deaths"], "beside": beside}, faults


def differences(recounted, statement):
    """What differs, and how many figures were compared."""
    told, faults = stated(statement)
    ours, theirs = flat(recounted), flat(told)
    for key in sorted(ours.keys() | theirs.keys()):
        if ours.get(key, 0) != theirs.get(key, 0):
            faults.append(f"{', '.join(key)}: recounted {ours.get(key, 0)}, stated {theirs.get(key, 0)}")
    return faults, len(ours.keys() | theirs.keys())


def digest(value):
    """SHA-256 of canonical JSON (RFC 8785; what is digested holds integers and strings alone)."""
    return sha256(json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()).hexdigest()


def frame(scene, period, known, statement):
    """What is wrong with instant, evaluated day, chain heads, posted nights and digests of a statement."""
    basis = statement["basis"]
    last_day = min(times.period(period)[1], times.day(known, scene.region["timeZone"]) - timedelta(1))
    sequences = Counter(record["authorID"] for stamp, record in scene.known if stamp <= known)
    wanted = {
        "asKnownAt": (times.written(known), times.written(times.microseconds(basis["asKnownAt"]))),
        "evaluatedThrough": (last_day.isoformat(), statement["evaluatedThrough"]),
        "chainHeads": (sequences, {party: head["sequence"] for party, head in basis["chainHeads"].items()}),
        "accountDigest": (digest({member: statement[member] for member in ("question", "account")}),
                          statement["accountDigest"]),
        "findingsDigest": (digest({"evaluatedThrough": statement["evaluatedThrough"], "ruleSet": basis["ruleSet"],
                                   "findings": statement["findings"]}), statement["findingsDigest"]),
    }
    if scene.nights:
        wanted["nights"] = (nights(scene, times.period(period)[0], last_day, known),
                            {one["placeID"]: (one["nights"], one["posted"], one["missing"])
                             for one in statement["completeness"]["parties"]})
    return [f"{what}: expected {ours}, stated {theirs}" for what, (ours, theirs) in wanted.items() if ours != theirs]


def nights(scene, first, last, known):
    """Of each centre: the nights from one day through another, how many it posted, and the missing ones. A
    night is posted when a census for that day counts."""
    days = [(first + timedelta(n)).isoformat() for n in range((last - first).days + 1)]
    posted = {(record["centreID"], times.last_day(record["eventDate"]).isoformat())
              for _, record in counting(scene.known, known).values()
              if record["kind"] == "census" and "centreID" in record and not record.get("withdrawn")}
    found = {}
    for centre in (party["partyID"] for party in scene.region["parties"] if party["role"] == "centre"):
        missing = [day for day in days if (centre, day) not in posted]
        found[centre] = (len(days), len(days) - len(missing), missing)
    return found


def counting(known, at=None):
    """The revision of every record that counts in the end or at an instant, with its stamp."""
    highest = {}
    for stamp, record in known:
        if at is not None and stamp > at:
            continue
        key = record["authorID"], record["recordID"]
        if key not in highest or highest[key][1]["revision"] < record["revision"]:
            highest[key] = stamp, record
    return highest


def correction(scene, books, luck):
    """The stamp of a revision, no record's first, that changes what the books say."""
    first = {}
    for stamp, record in scene.known:
        first.setdefault((record["authorID"], record["recordID"]), stamp)
    stamps = [stamp for stamp, record in scene.known if first[record["authorID"], record["recordID"]] != stamp]
    luck.shuffle(stamps)
    for stamp in stamps:
        if flat(books.account(ALL, stamp - 1)) != flat(books.account(ALL, stamp)):
            return stamp
    raise SystemExit(f"{scene.title}: no correction that matters; take another seed")


def hold(scene, books, periods, instants, count):
    """Every period at every instant. Gives the statements by both."""
    statements = {}
    for instant in instants:
        known = times.known_at(instant, books.zone) if instant else max(stamp for stamp, _ in scene.known)
        for period in periods:
            statement = statements[period, instant] = scene.hub.statement(period, instant)
            faults, figures = differences(books.account(period, known), statement)
            faults += frame(scene, period, known, statement)
            count.of(f"{scene.title}: {period} as known at {instant or 'now'}, {figures} figures", faults)
    return statements


def parts(scene, books, count, luck):
    """The statement of one place alone has just its rows and what stands beside them; that of one species
    everything of it."""
    whole = books.account("2026-Q3", max(stamp for stamp, _ in scene.known))
    place = luck.choice(sorted({account for account, *_ in whole["rows"] if not account.startswith("transit/")}))
    identifier = place.split("/")[1]
    statement = scene.hub.statement("2026-Q3", centre=identifier)
    # Journeys and deaths of a part are no sums of its rows; they are compared in the whole.
    statement["account"] |= {"transit": [], "deaths": {}}
    part = {"rows": {key: row for key, row in whole["rows"].items() if key[0] == place}, "deaths": {},
            "beside": {key: sums for key, sums in whole["beside"].items() if key[1] == identifier}}
    faults, figures = differences(part, statement)
    count.of(f"{scene.title}: 2026-Q3 of {place} alone, {figures} figures", faults)
    name = luck.choice(sorted({name for _, name, _ in whole["rows"]}))
    part = books.account("2026-Q3", max(stamp for stamp, _ in scene.known), name)
    faults, figures = differences(part, scene.hub.statement("2026-Q3", scientific_name=name))
    count.of(f"{scene.title}: 2026-Q3 of {name} alone, {figures} figures", faults)


def more_by_one(record):
    """The record with one more animal or egg in the first number that posts."""
    altered, before = copy.deepcopy(record), postings(record, str)
    for holder in (altered, altered.get("notCounted", {}), *altered.get("lines", [])):
        for number in {"alive", "individualCount"} & holder.keys():
            holder[number] += 1
            if postings(altered, str) != before:
                return altered
            holder[number] -= 1
    raise ValueError(f"nothing to alter in {record}")


def self_test(scene, instants, statements, count, luck):
    """Alters one counting record of every kind in the recount's own input, and once when a revision was
    known. The hub's statements, which agreed, must disagree with each."""
    by_kind = {}
    for stamp, record in counting(scene.known).values():
        if any("/" in one.source + one.target for one in postings(record, str)):
            by_kind.setdefault(record["kind"], []).append((stamp, record))
    now = max(stamp for stamp, _ in scene.known)
    for kind, candidates in sorted(by_kind.items()):
        stamp, record = luck.choice(candidates)
        known = [(at, more_by_one(one) if one is record else one) for at, one in scene.known]
        altered = Books(scene.region, known).account(ALL, now)
        must_differ(scene, f"one more in a {kind}", altered, statements[ALL, None], count)
    moment = times.known_at(instants["correction"], scene.region["timeZone"])
    known = [(at + (at == moment), one) for at, one in scene.known]
    altered = Books(scene.region, known).account(ALL, moment)
    must_differ(scene, "a correction known a microsecond later", altered, statements[ALL, instants["correction"]], count)


def must_differ(scene, what, altered, statement, count):
    """An alteration that makes no difference is a fault of this comparison."""
    faults, _ = differences(altered, statement)
    count.of(f"{scene.title}: self-test, {what}: {len(faults)} figures differ", [] if faults else ["not seen"])


def compare(scene, count, luck):
    """All comparisons of a region that was told in the course of a season."""
    astray = [f"{scene.astray} are not"] if scene.astray else []
    count.of(f"{scene.title}: {len(scene.known)} stamps are of the second of their posting", astray)
    books = Books(scene.region, scene.known)
    stamp, zone = correction(scene, books, luck), luck.choice(["UTC", books.zone])
    stamps = [stamp for stamp, _ in scene.known]
    # The fifth of September is the day whose midnight one of the zones skips.
    instants = {"early": times.written(stamps[len(stamps) // 2], books.zone)[:10], "late": "2026-09-05",
                "before": times.written(stamp - 1, zone), "correction": times.written(stamp, zone), "now": None}
    wrong = count.failed
    days = sorted(date(2026, 6, 25) + timedelta(luck.randint(0, 99)) for _ in range(2))
    periods = [*PERIODS, f"{days[0]}..{days[1]}"]
    statements = hold(scene, books, periods, [instants["early"], instants["late"], None], count)
    statements |= hold(scene, books, [ALL], instants.values(), count)
    parts(scene, books, count, luck)
    if count.failed == wrong:  # Where they disagree already, an alteration proves nothing.
        self_test(scene, instants, statements, count, luck)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("haulout")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seed", type=int, default=None)
    parser.add_argument("--basins", type=int, default=1)
    parser.add_argument("--invented", type=int, default=2)
    parser.add_argument("--nights", type=int, default=92)
    asked = parser.parse_args()
    first = secrets.randbelow(2**16) if asked.seed is None else asked.seed
    count = Count()
    print(f"seed {first}: {asked.basins} basins of {asked.nights} nights, {asked.invented} of invented records")
    for make, number in ((scenes.basin, asked.basins), (scenes.invented, asked.invented)):
        for seed in range(first, first + number):
            folder = asked.folder / f"{make.__name__}-{seed}"
            folder.mkdir()
            with make(asked.haulout, folder, seed, asked.nights) as scene:
                compare(scene, count, random.Random(seed))
    with scenes.story(asked.haulout, asked.folder) as scene:
        books = Books(scene.region, scene.known)
        hold(scene, books, [*PERIODS, ALL], ["2026-07-10", "2026-10-01", "2026-11-01"], count)
    print(f"{count.passed} passed, {count.failed} failed")
    raise SystemExit(1 if count.failed else 0)


if __name__ == "__main__":
    main()
