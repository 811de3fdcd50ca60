"""Times Haulout beside an alternative on the same work, and prints ratios.

Times are the median of `ROUNDS` rounds taken in turns, so that both sides meet the same machine:
wall seconds, and seconds of processor where one core is compared with one core. Nothing here fails
because of a time.
"""

import concurrent.futures
import json
import os
import pathlib
import re
import shutil
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time

import findings
import statements

ROUNDS = 3
# Of the region that options are asked of. By these nights a centre has some forty units.
CENTRES, NIGHTS, POSTED_NIGHTS = 500, 68, 2
HERE = pathlib.Path(__file__).resolve().parent
BINARY = sys.argv[1]
EXAMPLES = pathlib.Path(BINARY).resolve().parent / "examples"


def run(*arguments, **options):
    return subprocess.run(arguments, check=True, capture_output=True, text=True, **options)


def basin(folder, centres, nights, first="2026-07-01"):
    out = folder / "basin"
    run(BINARY, "generate", "--out", str(out), "--centres", str(centres), "--nights", str(nights),
        "--from", first, "--seed", "5")
    posts = json.loads((out / "truth.json").read_text())["posts"]
    posts.sort(key=lambda post: (post["at"], post["file"]))
    return out, [out / post["file"] for post in posts]


class Hub:
    """A hub on a fresh SQLite file; every party has a token."""

    def __init__(self, folder, region, *options):
        self.database = f"sqlite://{folder / 'hub.db'}?mode=rwc"
        self.process = subprocess.Popen(
            [BINARY, "serve", "--listen", "127.0.0.1:0", "--database", self.database, "--region", str(region), *options],
            stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        )
        for line in self.process.stdout:
            if line.startswith("listening on "):
                self.url = line.split()[-1]
                break
        self.tokens = {}
        for party in json.loads(region.read_text())["parties"]:
            role = {"coordination": "coordinator", "agency": "centre"}.get(party["role"], party["role"])
            issued = run(BINARY, "token", "issue", "--role", role, "--party", party["partyID"], "--database", self.database)
            self.tokens[party["partyID"]] = issued.stdout.strip()

    def post_unread(self, party, path, headers=()):
        import urllib.request
        request = urllib.request.Request(f"{self.url}/v1/submissions", data=open(path, "rb"), method="POST")
        request.add_header("Content-Type", "application/x-ndjson")
        request.add_header("Content-Length", str(os.path.getsize(path)))
        request.add_header("Authorization", f"Bearer {self.tokens[party]}")
        for name, value in headers:
            request.add_header(name, value)
        with urllib.request.urlopen(request) as answer:
            return answer.read()

    def post(self, party, path, headers=()):
        return json.loads(self.post_unread(party, path, headers))

    def get(self, path, party):
        return json.loads(self.get_unread(path, party))

    def get_unread(self, path, party):
        import urllib.request
        request = urllib.request.Request(f"{self.url}{path}")
        request.add_header("Authorization", f"Bearer {self.tokens[party]}")
        with urllib.request.urlopen(request) as answer:
            return answer.read()

    def peak_megabyte(self):
        status = pathlib.Path(f"/proc/{self.process.pid}/status").read_text()
        return int(re.search(r"VmHWM:\s+(\d+)", status).group(1)) / 1024

    def stop(self):
        self.process.terminate()
        self.process.wait()


def import_by_sqlite(folder, files):
    """The same payloads by the sqlite3 shell, with one index; each file is durable before the next."""
    database = folder / "import.db"
    for path in (database, folder / "import.db-wal"):
        path.unlink(missing_ok=True)
    script = f"""
PRAGMA journal_mode=WAL;
PRAGMA synchronous=FULL;
CREATE TABLE journal (payload TEXT NOT NULL);
CREATE INDEX journal_key ON journal (json_extract(payload, '$.authorID'), json_extract(payload, '$.recordID'));
.mode ascii
.separator "\\037" "\\n"
""" + "".join(f".import {path} journal\n" for path in files)
    started = time.perf_counter()
    subprocess.run(["sqlite3", str(database)], input=script, text=True, check=True, capture_output=True)
    took = time.perf_counter() - started
    kept = sqlite3.connect(database).execute("SELECT count(*) FROM journal").fetchone()[0]
    return took, kept


def joined(folder, files):
    """One file of all, and one file for each party, in the order of their nights."""
    whole, by_party = folder / "all.ndjson", {}
    with open(whole, "wb") as out:
        for path in files:
            out.write(path.read_bytes())
            by_party.setdefault(path.stem, []).append(path)
    backlog = []
    (folder / "backlog").mkdir()
    for party, paths in by_party.items():
        backlog.append(folder / "backlog" / f"{party}.ndjson")
        backlog[-1].write_bytes(b"".join(path.read_bytes() for path in paths))
    return whole, backlog


def posted(folder, region, files, connections):
    """Seconds from the first request until all is durable and in the ledger, which is when the last
    answer has come, and until every finding is judged."""
    folder.mkdir()
    hub = Hub(folder, region)
    authority = next(party for party in hub.tokens if party.endswith("authority"))
    started = time.perf_counter()
    with concurrent.futures.ThreadPoolExecutor(connections) as pool:
        answers = list(pool.map(lambda path: hub.post_unread(path.stem, path), files))
    durable = time.perf_counter() - started
    hub.get("/v1/findings", authority)
    judged = time.perf_counter() - started
    hub.stop()
    return (durable, judged), sum(json.loads(answer)["counts"]["accepted"] for answer in answers)


def ingest():
    folder = pathlib.Path(tempfile.mkdtemp())
    try:
        out, files = basin(folder, 12, 90)
        whole, backlog = joined(folder, files)
        records = sum(1 for _ in open(whole))
        shapes = {"a file a night": files, "a file a party": backlog}
        ours, theirs = {shape: [] for shape in shapes}, {shape: [] for shape in shapes}
        for round_number in range(ROUNDS):
            for shape, sent in shapes.items():
                place = folder / f"hub-{round_number}-{len(sent)}"
                took, accepted = posted(place, out / "region.json", sent, 2)
                assert accepted == records, (accepted, records)
                ours[shape].append(took)
                took, kept = import_by_sqlite(folder, sent)
                assert kept == records, (kept, records)
                theirs[shape].append(took)
        print(f"ingest: {records} records, {whole.stat().st_size / 1e6:.1f} MB")
        for shape, sent in shapes.items():
            b = statistics.median(theirs[shape])
            print(f"  sqlite3 .import, {shape}, a transaction each, one index, FULL: {b:.2f} s, "
                  f"{records / b:,.0f} records/s  {[round(one, 2) for one in theirs[shape]]}")
            print(f"  haulout, {shape} ({len(sent)} files, 2 connections)")
            for state, rounds, aim in zip(("durable and in the ledger", "and every finding judged"),
                                          zip(*ours[shape]), ("; aim 0.5", "")):
                a = statistics.median(rounds)
                print(f"    {state}: {a:.2f} s, {records / a:,.0f} records/s  {[round(one, 2) for one in rounds]}")
                print(f"      ratio (our rate over theirs): {b / a:.3f}{aim}")
    finally:
        shutil.rmtree(folder)


def check():
    folder = pathlib.Path(tempfile.mkdtemp())
    try:
        # Long enough for the start of either side, a tenth of a second, not to matter.
        # All of it in the past: half a file dated in the future would measure the writing of warnings.
        _, files = basin(folder, 24, 365, "2025-07-01")
        whole, _ = joined(folder, files)
        records, size = sum(1 for _ in open(whole)), whole.stat().st_size
        modules = pathlib.Path(os.environ.get("XDG_CACHE_HOME", pathlib.Path.home() / ".cache")) / "haulout" / "bench-node"
        modules.mkdir(parents=True, exist_ok=True)
        shutil.copy(HERE / "package.json", modules)
        shutil.copy(HERE / "by_kind.mjs", modules)
        run("npm", "install", "--no-audit", "--no-fund", "--silent", cwd=modules)
        published = HERE.parent.parent / "schemas" / "published" / "1.0"
        ours, theirs, judged = [], [], {}
        for _ in range(ROUNDS):
            child = subprocess.Popen(["taskset", "-c", "0", BINARY, "check", str(whole), "--format", "json"],
                                     stdout=subprocess.DEVNULL, env={**os.environ, "RAYON_NUM_THREADS": "1"})
            _, _, usage = os.wait4(child.pid, 0)
            ours.append(usage.ru_utime + usage.ru_stime)
            judged = json.loads(run("taskset", "-c", "0", "node", str(modules / "by_kind.mjs"), str(published), str(whole)).stdout)
            theirs.append(judged["seconds"])
        a, b = statistics.median(ours), statistics.median(theirs)
        print(f"check: {records} records, {size / 1e6:.1f} MB, one core each; ajv: {judged['valid']} valid, {judged['invalid']} invalid")
        print(f"  haulout check (read, schema, types, rules): {a:.2f} s, {size / 1e6 / a:.0f} MB/s  {ours}")
        print(f"  ajv, compiled, by kind:                      {b:.2f} s, {size / 1e6 / b:.0f} MB/s  {theirs}")
        print(f"  ratio (our rate over theirs): {b / a:.2f}; aim 2")
    finally:
        shutil.rmtree(folder)


def memory():
    folder = pathlib.Path(tempfile.mkdtemp())
    try:
        out, files = basin(folder, 6, 30)
        centre = next(path for path in files if path.stem.endswith("kolvani"))
        lines = [json.loads(line) for path in files if path.stem == centre.stem for line in open(path)]
        big, number = folder / "big.ndjson", 0
        with open(big, "w") as file:
            while file.tell() < 1_000_000_000:
                for line in lines:
                    number += 1
                    line["recordID"] = f"big-{number}"
                    line["notes"] = "x" * 2000
                    file.write(json.dumps(line, separators=(",", ":")) + "\n")
        hub = Hub(folder, out / "region.json")
        # A body may have 512 MiB on the line; a gigabyte goes compressed.
        packed = folder / "big.ndjson.gz"
        with open(packed, "wb") as file:
            subprocess.run(["gzip", "-1", "-c", str(big)], stdout=file, check=True)
        answer = hub.post(centre.stem, packed, [("Prefer", "respond-async"), ("Content-Encoding", "gzip")])
        address = f"/v1/submissions/{answer['submissionID']}"
        while hub.get(address, centre.stem).get("state") not in ("done", "failed"):
            time.sleep(1)
        answer = hub.get(address, centre.stem)
        print(f"memory: {number} records, {big.stat().st_size / 1e9:.2f} GB")
        print(f"  hub: peak {hub.peak_megabyte():.0f} MB, {answer.get('counts')}; aim under 200")
        hub.stop()
        child = subprocess.Popen([BINARY, "check", str(big), "--format", "text"], stdout=subprocess.DEVNULL)
        _, _, usage = os.wait4(child.pid, 0)
        print(f"  check: peak {usage.ru_maxrss / 1024:.0f} MB, {usage.ru_utime + usage.ru_stime:.1f} s of processor; aim under 200")
    finally:
        shutil.rmtree(folder)


def options():
    """Options for one animal over HTTP, while the last nights of all centres are posted and while none are."""
    folder = pathlib.Path(tempfile.mkdtemp())
    try:
        out, files = basin(folder, CENTRES, NIGHTS)
        last = len(files) * POSTED_NIGHTS // NIGHTS
        _, backlog = joined(folder, files[:-last])
        hub = Hub(folder, out / "region.json")
        coordination = next(party for party in hub.tokens if party.endswith("coordination"))
        for path in backlog:
            hub.post_unread(path.stem, path)
        placement = json.loads((out / "placement.json").read_text())
        crocodile = placement["requests"][0]
        turtle = {**crocodile, "requestID": "R-2", "scientificName": "Lissemys punctata", "stay": "long",
                  "length": {"value": 0.2, "measure": "straightCarapaceLength", "method": "taped"},
                  "from": {"placeID": placement["centres"][0]["centreID"]}, "fitToTravel": {"fit": "yes"}}
        bodies = [json.dumps(request).encode() for request in (crocodile, turtle)]

        def asked(number):
            import urllib.request
            request = urllib.request.Request(f"{hub.url}/v1/placements/options", data=bodies[number % 2], method="POST")
            request.add_header("Content-Type", "application/json")
            request.add_header("Authorization", f"Bearer {hub.tokens[coordination]}")
            started = time.perf_counter()
            with urllib.request.urlopen(request) as answer:
                text = answer.read()
            took = time.perf_counter() - started
            assert len(json.loads(text)["excluded"]) > 0
            return took

        print(f"options over HTTP: {len(placement['centres'])} centres, {len(placement['units'])} units; aim p99 under 25 ms",
              flush=True)
        def posted_within(paths, seconds):
            started = time.perf_counter()
            for at, path in enumerate(paths):
                time.sleep(max(0, started + seconds * at / len(paths) - time.perf_counter()))
                hub.post_unread(path.stem, path)

        def told(state, times):
            times.sort()
            p50, p99 = (1000 * times[int(len(times) * share)] for share in (0.5, 0.99))
            print(f"  {state}: {len(times)} questions, p50 {p50:.1f} ms, p99 {p99:.1f} ms", flush=True)

        print(f"  the first question after the start, which reads the region: {asked(0):.1f} s", flush=True)
        without_pause, within_a_minute = files[-last:-last // 2], files[-last // 2:]
        for paths, seconds, state in ((without_pause, 0, "one after another, without a pause"),
                                      (within_a_minute, 60, "within a minute")):
            with concurrent.futures.ThreadPoolExecutor(1) as pool:
                posting, busy = pool.submit(posted_within, paths, seconds), []
                while not posting.done():
                    busy.append(asked(len(busy)))
                posting.result()
            told(f"while {len(paths)} files of a night are posted {state}", busy)
        told("while none are", [asked(number) for number in range(500)])
        hub.stop()
    finally:
        shutil.rmtree(folder)


def of_ledger():
    statements.measure(EXAMPLES / "ledger")


def of_a_night():
    findings.measure(BINARY, EXAMPLES / "night", Hub)


PARTS = {"ingest": ingest, "check": check, "options": options, "memory": memory,
         "statements": of_ledger, "findings": of_a_night}
for part in sys.argv[2:] or PARTS:
    PARTS[part]()
