"""What a night costs a region with a million records behind it: its findings, beside judging anew.

A generated region, sealed by the store itself (`services/store/examples/night`): all nights but the
last as one, then the last one as it would come. Judging anew is timed on the same database: the
findings of all records (`findings_at`), and `haulout rebuild`, which makes the other projections too.
"""

import json
import os
import pathlib
import shutil
import subprocess
import tempfile
import time

# About 47 records a centre and night: 10,000 a night, a million in all.
CENTRES = int(os.environ.get("HAULOUT_BENCH_CENTRES", "213"))
NIGHTS = int(os.environ.get("HAULOUT_BENCH_NIGHTS", "101"))


def measure(binary, program, serve):
    folder = pathlib.Path(tempfile.mkdtemp(dir=os.environ.get("HAULOUT_BENCH_FOLDER")))
    try:
        basin, database = folder / "basin", folder / "hub.db"
        subprocess.run([binary, "generate", "--out", str(basin), "--centres", str(CENTRES), "--nights", str(NIGHTS),
                        "--seed", "5", "--faults"], check=True, capture_output=True)
        done = subprocess.run([program, f"sqlite://{database}?mode=rwc", str(basin)], check=True, stdout=subprocess.PIPE, text=True)
        found = json.loads(done.stdout)
        assert found["sameAsRescan"] and found["sameAsRebuild"], "the findings are not those of judging anew"
        seconds, night = found["seconds"], found["records"]
        print(f"findings: {CENTRES} centres; {found['recordsBefore']:,} records, then a night of {night:,}; "
              f"{found['findings']:,} findings stand, the same as judged anew; SQLite, {database.stat().st_size / 1e9:.2f} GB")
        print(f"  the night: sealed in {seconds['sealed']:.2f} s, findings of the touched keys in {seconds['findings']:.2f} s "
              f"({1e6 * seconds['findings'] / night:.0f} microseconds a record); what fell due by the passing of the day before it: "
              f"{seconds['day passed']:.2f} s")
        print(f"  the findings of all records anew, held in memory: {seconds['rescan']:.2f} s, "
              f"{seconds['rescan'] / seconds['findings']:.0f} times the night's")
        print(f"  rebuild, which makes every projection anew: {seconds['rebuild']:.2f} s, "
              f"{seconds['rebuild'] / seconds['findings']:.0f} times the night's")
        for quarter, of_it in sorted(found["statements"].items()):
            parts = ", ".join(f"{part} {1000 * took:.0f} ms" for part, took in sorted(of_it.items(), key=lambda one: -one[1]))
            print(f"  the statement of {quarter}, part by part in the store: {parts}")
        over_http(serve(folder, basin / "region.json", "--demo-clock"), sorted(found["statements"]))
    finally:
        shutil.rmtree(folder)


def over_http(hub, quarters):
    """The whole statement in each format, once the hub has read the region: the second of two."""
    authority = next(party for party in hub.tokens if party.endswith("authority"))
    for quarter in quarters:
        took = {}
        for form in ("json", "csv", "html", "xlsx"):
            for _ in range(2):
                started = time.perf_counter()
                answer = hub.get_unread(f"/v1/statements/{quarter}?format={form}", authority)
                took[form] = (time.perf_counter() - started, len(answer))
        forms = ", ".join(f"{form} {seconds:.2f} s ({size / 1e6:.1f} MB)" for form, (seconds, size) in took.items())
        print(f"  the statement of {quarter} over HTTP: {forms}; the hub's peak {hub.peak_megabyte():.0f} MB")
    hub.stop()
