"""A quarter's figures from a ledger of millions of postings, beside the same sums by DuckDB.

The database is written by the store itself (`services/store/examples/ledger`): every posting is that
of a checked and sealed record. DuckDB gets the same rows in a table of its own; loading them is not
counted. Both must come to the same figures, row by row, or nothing is printed about speed.
"""

import json
import os
import pathlib
import shutil
import sqlite3
import statistics
import subprocess
import tempfile
import time

ROUNDS = 5
SIZES = [int(float(size) * 1e6) for size in os.environ.get("HAULOUT_BENCH_POSTINGS", "0.5,2,5").split(",")]
FIRST_DAY = "2016-07-01"
COLUMNS = "known_from, feed, day, account, counter, direction, scientific_name, eggs, delta, life_stage, death_when"

# Opening, gains and losses by source and end, and closing: the same in plain SQL over the same rows.
FIGURES = """
SELECT account, scientific_name, eggs,
       CASE WHEN day < ? THEN '' WHEN counter LIKE 'transit/%' THEN 'transit' ELSE counter END AS way,
       CASE WHEN day < ? THEN '' ELSE direction END AS direction, sum(delta) AS delta
FROM entry
WHERE day <= ? AND known_from <= ? AND (account LIKE 'centre/%' OR account LIKE 'point/%' OR account LIKE 'transit/%')
GROUP BY ALL
HAVING sum(delta) <> 0
"""


class Ledger:
    """The example, which takes an order a line and answers each with a line of JSON."""

    def __init__(self, program, database):
        self.process = subprocess.Popen([program, database, FIRST_DAY], stdin=subprocess.PIPE,
                                        stdout=subprocess.PIPE, text=True)

    def order(self, *words):
        self.process.stdin.write(" ".join(map(str, words)) + "\n")
        self.process.stdin.flush()
        line = self.process.stdout.readline()
        if not line:
            raise SystemExit("the ledger's program ended; its error stands above")
        return json.loads(line)

    def stop(self):
        self.process.stdin.close()
        self.process.wait()


class Duck:
    """DuckDB with the ledger's rows in a table of its own."""

    def __init__(self, path):
        import duckdb
        self.path = path
        self.connection = duckdb.connect(str(path))
        self.connection.execute("SET threads = 2")
        self.last = 0

    def load(self, rows_of, csv):
        """Takes over the rows that were written since; seconds that took."""
        started = time.perf_counter()
        new = f"read_csv('{csv}', header = false, all_varchar = true, nullstr = 'never', names = {COLUMNS.split(', ')!r})"
        rows_of(self.last, csv)
        typed = ("CAST(known_from AS BIGINT) AS known_from, CAST(feed AS BIGINT) AS feed, CAST(day AS DATE) AS day, account, counter, "
                 "direction, scientific_name, eggs = '1' AS eggs, CAST(delta AS BIGINT) AS delta, life_stage, death_when")
        exists = self.last > 0
        self.connection.execute(f"{'INSERT INTO entry' if exists else 'CREATE TABLE entry AS'} SELECT {typed} FROM {new}")
        self.last, self.rows = self.connection.execute("SELECT max(known_from), count(*) FROM entry").fetchone()
        self.connection.execute("CHECKPOINT")
        csv.unlink()
        return time.perf_counter() - started

    def figures(self, first, last, instant):
        """The figures and what the rounds took, with all rows handed over."""
        took = []
        for _ in range(ROUNDS):
            started = time.perf_counter()
            found = self.connection.execute(FIGURES, [first, first, last, instant]).fetchall()
            took.append(time.perf_counter() - started)
        return found, took


def rows_by_sqlite(database):
    def rows(after, csv):
        script = f".mode csv\n.output {csv}\nSELECT {COLUMNS} FROM entry WHERE known_from > {after} ORDER BY known_from, ordinal;\n"
        subprocess.run(["sqlite3", "-readonly", str(database)], input=script, text=True, check=True)
    return rows


def from_duck(found):
    """{(account, name, commodity): (opening, gains, losses, closing)} of DuckDB's sums."""
    rows = {}
    for account, name, eggs, way, direction, delta in found:
        opening, gains, losses, closing = rows.get((account, name, eggs), (0, {}, {}, 0))
        if way == "":
            opening += delta
        elif direction == "in":
            gains[way] = gains.get(way, 0) + delta
        else:
            losses[way] = losses.get(way, 0) - delta
        rows[account, name, eggs] = (opening, gains, losses, closing + delta)
    return {key: row for key, row in rows.items() if row != (0, {}, {}, 0)}


def from_account(account):
    """The same of the statement's account."""
    rows = {}
    for row in account["rows"] + account["transit"]:
        place = (f"centre/{row['centreID']}" if row.get("centreID") else f"point/{row['pointID']}" if row.get("pointID")
                 else f"transit/{row['consignmentID']}")
        key = (place, row["scientificName"], row["commodity"] == "eggs")
        rows[key] = (row["opening"], row["in"], row["out"], row["closing"])
    return rows


def quarters(through):
    """The newest quarter that was over 20 days before a day, and the first of the ledger's whole ones."""
    import datetime
    day = datetime.date.fromisoformat(through) - datetime.timedelta(days=20)
    year, quarter = (day.year, (day.month - 1) // 3) if day.month > 3 else (day.year - 1, 4)
    return f"{year}-Q{quarter}", "2016-Q4"


def days_of(quarter):
    year, number = int(quarter[:4]), int(quarter[-1])
    return f"{year}-{3 * number - 2:02}-01", f"{year}-{3 * number:02}-{[31, 30, 30, 31][number - 1]}"


def micros(instant):
    import datetime
    return int(datetime.datetime.fromisoformat(instant).timestamp() * 1_000_000)


def told(label, ours, rows, theirs, aim):
    best, median = (lambda times: 1000 * min(times)), (lambda times: 1000 * statistics.median(times))
    whole = [a + b for a, b in zip(ours, rows)]
    print(f"    {label}: sums {best(ours):.0f} ms (median {median(ours):.0f}), with rows and digest {best(whole):.0f} ms; "
          f"duckdb {best(theirs):.0f} ms (median {median(theirs):.0f}); "
          f"ratio of medians {median(ours) / median(theirs):.2f}, with rows and digest {median(whole) / median(theirs):.2f}; {aim}")


def measure(program):
    folder = pathlib.Path(tempfile.mkdtemp(dir=os.environ.get("HAULOUT_BENCH_FOLDER")))
    try:
        database = folder / "ledger.db"
        ledger = Ledger(program, f"sqlite://{database}?mode=rwc")
        duck = Duck(folder / "entries.duckdb")
        kept = {}
        print("statements: figures of a quarter (opening, by source and end, closing, for each centre or journey and "
              "commodity); SQLite; duckdb on 2 threads, its loading not counted; 5 rounds each")
        for size in SIZES:
            grown = ledger.order("grow", size)
            loaded = duck.load(rows_by_sqlite(database), folder / "rows.csv")
            trial = ledger.order("trial", "2016-07-01..2099-12-31")
            assert trial and all(sum == 0 for _, _, sum in trial), trial
            sizes = f"{database.stat().st_size / 1e9:.2f} GB, duckdb {duck.path.stat().st_size / 1e9:.2f} GB"
            print(f"  {grown['postings']:,} postings ({duck.rows:,} rows of the ledger) through {grown['through']}; {sizes}; "
                  f"{grown['records']:,} more records sealed in {grown['seconds']:.0f} s; duckdb's loading {loaded:.0f} s")
            settle()
            newest, oldest = quarters(grown["through"])
            for quarter, label in ((newest, f"{newest}, the newest"), (oldest, f"{oldest}, the oldest")):
                first, last = days_of(quarter)
                past = f"{int(last[:4]) + (last[5:7] == '12')}-{'01' if last[5:7] == '12' else f'{int(last[5:7]) + 1:02}'}-10T12:00:00+05:30"
                for instant, aim in (("now", "aim 2"), (past, "aim 4")):
                    ours = ledger.order("ask", quarter, instant, ROUNDS)
                    theirs, took = duck.figures(first, last, micros(past) if instant == past else 2**62)
                    figures = from_account(ours["account"])
                    assert figures == from_duck(theirs), f"{label} as known {instant}: not the same figures"
                    # What was known at a past instant stays what it was, however much came after.
                    if instant == past:
                        assert kept.setdefault(quarter, figures) == figures, f"{label}: not what it was"
                    told(f"{label}, as known {'at ' + instant if instant == past else instant}, {len(figures):,} rows, all equal",
                         ours["sumsSeconds"], ours["rowsSeconds"], took, aim)
        ledger.stop()
    finally:
        shutil.rmtree(folder)


def settle():
    """Lets the machine come to rest: what was written goes to the disk now, and not while it is measured."""
    os.sync()
    time.sleep(2)
