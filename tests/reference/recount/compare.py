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
from censuses import census_faults, counting, nights
from figures import differences, flat
from postings import postings
from recount import Books

PERIODS = ["2026-07", "2026-09", "2026-Q3"]
ALL = "2026"
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


def digest(value):
    """SHA-256 of canonical JSON (RFC 8785; what is digested holds integers and strings alone)."""
    return sha256(json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()).hexdigest()


def frame(scene, period, known, statement, records=None):
    """What is wrong with instant, evaluated day, chain heads, digests, posted nights and census cells;
    `records` instead of those that count."""
    basis = statement["basis"]
    first, last = times.period(period)
    evaluated = min(last, times.day(known, scene.region["timeZone"]) - timedelta(1))
    sequences = Counter(record["authorID"] for stamp, record in scene.known if stamp <= known)
    wanted = {
        "asKnownAt": (times.written(known), times.written(times.microseconds(basis["asKnownAt"]))),
        "evaluatedThrough": (evaluated.isoformat(), statement["evaluatedThrough"]),
        "chainHeads": (sequences, {party: head["sequence"] for party, head in basis["chainHeads"].items()}),
        "accountDigest": (digest({member: statement[member] for member in ("question", "account")}),
                          statement["accountDigest"]),
        "findingsDigest": (digest({"evaluatedThrough": statement["evaluatedThrough"], "ruleSet": basis["ruleSet"],
                                   "findings": statement["findings"]}), statement["findingsDigest"]),
    }
    faults = []
    if scene.censuses:
        records = records or [record for _, record in counting(scene.known, known)]
        wanted["nights"] = (nights(scene.region, records, first, evaluated),
                            {one["placeID"]: (one["nights"], one["posted"], one["missing"])
                             for one in statement["completeness"]["parties"]})
        faults = census_faults(scene.region, records, period, statement)
    return faults + [f"{what}: expected {ours}, stated {theirs}"
                     for what, (ours, theirs) in wanted.items() if ours != theirs]


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
    alone = luck.choice(sorted({account for account, *_ in whole["rows"] if not account.startswith("transit/")}))
    identifier = alone.split("/")[1]
    statement = scene.hub.statement("2026-Q3", centre=identifier)
    # Journeys and deaths of a part are no sums of its rows; they are compared in the whole.
    statement["account"] |= {"transit": [], "deaths": {}}
    part = {"rows": {key: row for key, row in whole["rows"].items() if key[0] == alone}, "deaths": {},
            "beside": {key: sums for key, sums in whole["beside"].items() if key[1] == identifier}}
    faults, figures = differences(part, statement)
    count.of(f"{scene.title}: 2026-Q3 of {alone} alone, {figures} figures", faults)
    name = luck.choice(sorted({name for _, name, _ in whole["rows"]}))
    part = books.account("2026-Q3", max(stamp for stamp, _ in scene.known), name)
    faults, figures = differences(part, scene.hub.statement("2026-Q3", scientific_name=name))
    count.of(f"{scene.title}: 2026-Q3 of {name} alone, {figures} figures", faults)


def explained(scene, books, early, count):
    """What the hub says differs between an instant and now is what differs in the books."""
    earlier, later = (flat(books.account("2026-Q3", at) | {"beside": {}})
                      for at in (times.known_at(early, books.zone), max(stamp for stamp, _ in scene.known)))
    ours = {" ".join(key).split("/", 1)[-1]: (earlier.get(key, 0), later.get(key, 0))
            for key in earlier.keys() | later.keys() if earlier.get(key, 0) != later.get(key, 0)}
    authority = next(party["partyID"] for party in scene.region["parties"] if party["role"] == "authority")
    status, answer = scene.hub.call("authority", authority, "GET", f"/v1/statements/2026-Q3/differences?from={early}")
    theirs = {one["figure"]: (one["from"], one["to"]) for one in answer.get("figures", [])
              if " census" not in one["figure"]}
    faults = [f"{figure}: recounted {ours.get(figure)}, stated {theirs.get(figure)}"
              for figure in sorted(ours.keys() | theirs.keys()) if ours.get(figure) != theirs.get(figure)]
    count.of(f"{scene.title}: 2026-Q3 as known at {early} and now, {len(ours)} figures differ",
             faults if status == 200 else [answer])


def stocked(record):
    """Movements of a record into or out of a place or journey: the others show in no row."""
    return [one for one in postings(record, str) if "/" in one.source + one.target]


def more_by_one(record):
    """The record with one more animal or egg in the first number that moves a stock."""
    altered, before = copy.deepcopy(record), stocked(record)
    for holder in (altered, altered.get("notCounted", {}), *altered.get("lines", [])):
        for number in {"alive", "individualCount"} & holder.keys():
            holder[number] += 1
            if stocked(altered) != before:
                return altered
            holder[number] -= 1
    raise ValueError(f"nothing to alter in {record}")


def self_test(scene, instants, statements, count, luck):
    """Alters one counting record of every kind in the recount's own input, and once when a revision was
    known. The hub's statements, which agreed, must disagree with each."""
    now = max(stamp for stamp, _ in scene.known)
    by_kind = {}
    for _, record in counting(scene.known, now):
        if stocked(record):
            by_kind.setdefault(record["kind"], []).append(record)
    for kind, candidates in sorted(by_kind.items()):
        record = luck.choice(candidates)
        known = [(at, more_by_one(one) if one is record else one) for at, one in scene.known]
        faults, _ = differences(Books(scene.region, known).account(ALL, now), statements[ALL, None])
        must_differ(scene, f"one more in a {kind}", faults, count)
    moment = times.known_at(instants["correction"], scene.region["timeZone"])
    known = [(at + (at == moment), one) for at, one in scene.known]
    faults, _ = differences(Books(scene.region, known).account(ALL, moment), statements[ALL, instants["correction"]])
    must_differ(scene, "a correction known a microsecond later", faults, count)
    if scene.censuses:
        records = [record for _, record in counting(scene.known, now)]
        censuses = [one for one in records if one["kind"] == "census" and "centreID" in one]
        last = max(censuses, key=lambda one: one["eventDate"])
        fewer = [one for one in records if one is not last]
        must_differ(scene, "a centre's last census left out", frame(scene, ALL, now, statements[ALL, None], fewer), count)


def must_differ(scene, what, faults, count):
    """An alteration that makes no difference is a fault of this comparison."""
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
    explained(scene, books, instants["early"], count)
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
