"""Regions whose hub has heard everything: generated basins, invented records, the demonstration's story."""

import json
import os
import random
import subprocess
from contextlib import contextmanager
from datetime import datetime
from itertools import groupby
from pathlib import Path
from typing import NamedTuple

import times
from hub import Hub, command
from invent import Inventor
from names import Names

RECORDS = 900  # Invented records, each of one to three revisions.
OFFSET = "+05:30"
# Santiago puts its clocks on at the midnight after 5 September 2026, which that night does not have.
ZONES = ["America/Santiago", "Asia/Kolkata", "Pacific/Kiritimati", "Pacific/Pago_Pago"]


class Scene(NamedTuple):
    """What was told to a hub, and the hub."""

    title: str
    region: dict
    known: list  # Pairs of the hub's stamp, in microseconds since 1970, and the record.
    hub: Hub
    astray: int  # Stamps that are not of the second in which they were posted.
    # Whether census cells and posted nights are compared: not where a place may have several censuses of a
    # day, or one that was withdrawn, which the hub still takes for a posted night.
    censuses: bool = True


def generated(binary, folder, seed, nights, *options):
    out = folder / "basin"
    command(binary, "generate", "--out", out, "--centres", 3 + seed % 4, "--nights", nights, "--seed", seed, *options)
    return out, json.loads((out / "region.json").read_text())


def sqlite(path):
    return f"sqlite://{path}?mode=rwc"


def either(folder, seed):
    """A database of SQLite, or with every other seed one of the server that HAULOUT_TEST_POSTGRES names."""
    server = os.environ.get("HAULOUT_TEST_POSTGRES")
    if not server or seed % 2:
        return sqlite(folder / "hub.db")
    name = f"recount_{os.getpid()}_{seed}"
    subprocess.run(["psql", server, "-qc", f"CREATE DATABASE {name}"], check=True)
    return f"{server.rpartition('/')[0]}/{name}"


def tell(hub, region, posts):
    """Posts (moment, party, lines) in the order of time, and pairs each record with the stamp of its receipt."""
    roles = {party["partyID"]: party["role"] for party in region["parties"]}
    known, astray = [], 0
    for moment, party, lines in posts:
        hub.set_clock(moment)
        at = times.microseconds(moment)
        for line, outcome in zip(lines, hub.submit(roles[party], party, lines), strict=True):
            if outcome["outcome"] == "accepted":
                stamp = times.microseconds(outcome["knownFrom"])
                known.append((stamp, json.loads(line)))
                astray += not at <= stamp < at + 1_000_000
    return known, astray


@contextmanager
def basin(binary, folder, seed, nights):
    """A generated basin with faults, its files posted when `truth.json` says."""
    out, region = generated(binary, folder, seed, nights, "--faults")
    truth = json.loads((out / "truth.json").read_text())
    posts = sorted((datetime.fromisoformat(post["at"]), post["file"]) for post in truth["posts"])
    with Hub(binary, sqlite(folder / "hub.db"), out / "region.json") as hub:
        known, astray = tell(hub, region, ((at.isoformat(), Path(file).stem, (out / file).read_text().splitlines())
                                          for at, file in posts))
        yield Scene(f"basin {seed}", region, known, hub, astray)


@contextmanager
def invented(binary, folder, seed, _nights):
    """Records at random, in one of several zones and databases; one file in ten is sent twice."""
    out, region = generated(binary, folder, seed, 1)
    region["timeZone"] = ZONES[seed // 2 % len(ZONES)]
    (out / "region.json").write_text(json.dumps(region))
    luck = random.Random(seed)
    inventor = Inventor(region, luck.sample(Names(region).others(), 4), seed)
    made = sorted(inventor.records(RECORDS), key=lambda one: one[:2])
    posts = [(hour.isoformat() + OFFSET, party, [line for *_, line in lines])
             for (hour, party), lines in groupby(made, key=lambda one: one[:2])]
    again = [(moment, *post[1:]) for post in posts for moment, *_ in [luck.choice(posts)] if luck.random() < 0.1]
    database = either(folder, seed)
    title = f"invented records {seed}, {region['timeZone']}, {database.split(':')[0]}"
    with Hub(binary, database, out / "region.json") as hub:
        known, astray = tell(hub, region, sorted(posts + again))
        yield Scene(title, region, known, hub, astray, False)


@contextmanager
def story(binary, folder):
    """The demonstration's story, its records read from the journal."""
    kept = folder / "story"
    command(binary, "demo", "--once", "--keep", kept)
    region = json.loads((kept / "region.json").read_text())
    with Hub(binary, sqlite(kept / "haulout.db")) as hub:
        authority = next(party["partyID"] for party in region["parties"] if party["role"] == "authority")
        known = [(times.microseconds(one["knownFrom"]), one["record"]) for one in hub.changes(authority)]
        yield Scene("the story", region, known, hub, 0)
