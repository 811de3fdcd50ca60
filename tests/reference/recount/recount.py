"""The statement counted again, from nothing but records and when the hub knew them.

    recount.py REGION RECORDS --period P [--as-known-at T]

REGION is a region file; RECORDS holds lines {"knownFrom", "record"}. Prints the account as JSON: opening, in,
out, closing and stages of every place, of every journey, deaths by when they fell, and what never entered a
stock. Written from the contract, not from the hub's code: where the two differ, one of them is wrong.
"""

import argparse
import json
import tempfile
from pathlib import Path

import duckdb

import times
from names import Names
from postings import postings

KEY = {"author": "VARCHAR", "record": "VARCHAR", "revision": "INTEGER"}
COLUMNS = {
    "revisions": {**KEY, "known_from": "BIGINT"},
    "movements": {**KEY, "day": "DATE", "source": "VARCHAR", "target": "VARCHAR", "name": "VARCHAR",
                  "commodity": "VARCHAR", "count": "BIGINT", "stage": "VARCHAR", "died": "VARCHAR"},
    "beside": {**KEY, "day": "DATE", "kind": "VARCHAR", "centre": "VARCHAR", "name": "VARCHAR", "count": "BIGINT"},
}

# What the revisions say that are known at an instant: of each record the highest, whatever arrived first.
EFFECTIVE = """
    SELECT {table}.* FROM {table} JOIN (
        SELECT author, record, max(revision) AS revision FROM revisions WHERE known_from <= $known GROUP BY ALL
    ) USING (author, record, revision)
    WHERE $name IS NULL OR name = $name
"""
MOVED, BESIDE = EFFECTIVE.format(table="movements"), EFFECTIVE.format(table="beside")

# Each movement seen from both of its accounts.
SIDES = f"""
    WITH effective AS ({MOVED})
    SELECT target AS account, source AS counter, name, commodity, stage, day, count AS gain, 0 AS loss FROM effective
    UNION ALL
    SELECT source, target, name, commodity, stage, day, 0, count FROM effective
"""

BALANCES = f"""
    SELECT account, name, commodity,
        coalesce(sum(gain - loss) FILTER (day < $first), 0)::BIGINT AS opening,
        sum(gain - loss)::BIGINT AS closing
    FROM ({SIDES}) WHERE regexp_matches(account, '^(centre|point|transit)/') AND day <= $last GROUP BY ALL
"""

# Gross, by counter-account; all journeys are one counter-account.
FLOWS = f"""
    SELECT account, name, commodity, regexp_replace(counter, '^transit/.*', 'transit') AS counter,
        sum(gain)::BIGINT, sum(loss)::BIGINT
    FROM ({SIDES}) WHERE regexp_matches(account, '^(centre|point|transit)/') AND day BETWEEN $first AND $last
    GROUP BY ALL
"""

STAGES = f"""
    SELECT account, name, commodity, stage, sum(gain - loss)::BIGINT AS closing
    FROM ({SIDES}) WHERE regexp_matches(account, '^(centre|point)/') AND day <= $last
    GROUP BY ALL HAVING closing <> 0
"""

# Deaths of animals on the account `dead`, whatever stock they came from. Eggs stand in their rows alone.
DEATHS = f"""
    SELECT died, sum(CASE target WHEN 'dead' THEN count ELSE -count END)::BIGINT FROM ({MOVED})
    WHERE 'dead' IN (source, target) AND commodity = 'animals' AND day BETWEEN $first AND $last GROUP BY died
"""

# Put to death by order: beside the four figures, and told only where there are any.
ORDERED = f"""
    SELECT 'destroyedByOrder', sum(CASE target WHEN 'destroyedByOrder' THEN count ELSE -count END)::BIGINT AS ordered
    FROM ({MOVED}) WHERE 'destroyedByOrder' IN (source, target) AND commodity = 'animals'
    AND day BETWEEN $first AND $last HAVING ordered <> 0
"""

# What never entered a stock: relocations, and nests left in place.
UNHELD = f"""
    SELECT kind, centre, name, sum(count)::BIGINT, count(*) FROM ({BESIDE})
    WHERE day BETWEEN $first AND $last GROUP BY ALL
"""


class Books:
    """All movements of all revisions, in a database of their own."""

    def __init__(self, region, known):
        """`known`: pairs of the hub's stamp (microseconds since 1970) and the record it accepted, each once."""
        self.zone = region["timeZone"]
        accepted = Names(region).accepted
        self.base = duckdb.connect()
        tables = {"revisions": [], "movements": [], "beside": []}
        for stamp, record in known:
            key = [record["authorID"], record["recordID"], record["revision"]]
            own = times.last_day(record["eventDate"]).isoformat()
            tables["revisions"].append([*key, stamp])
            for one in postings(record, accepted):
                tables["movements"].append([*key, one.day or own, one.source, one.target, one.name, one.commodity,
                                            one.count, one.stage, one.when])
            if record["kind"] in ("relocation", "nest") and not record.get("withdrawn"):
                tables["beside"].append([*key, own, record["kind"], record["centreID"],
                                         accepted(record["scientificName"]), record.get("individualCount", 0)])
        for table, rows in tables.items():
            self.load(table, rows)

    def load(self, table, rows):
        """Through a file: the quickest way in."""
        columns = ", ".join(f"{name}: '{kind}'" for name, kind in COLUMNS[table].items())
        with tempfile.NamedTemporaryFile("w", suffix=".ndjson") as file:
            for row in rows:
                print(json.dumps(dict(zip(COLUMNS[table], row, strict=True))), file=file)
            file.flush()
            self.base.execute(f"CREATE TABLE {table} AS SELECT * FROM read_json('{file.name}', "
                              f"format = 'newline_delimited', columns = {{{columns}}})")

    def account(self, period, known, name=None):
        """The account, or that of one accepted name alone, in plain values: rows by (account, name, commodity),
        deaths by when they fell, and (count, records) of relocations and nests by (kind, centre, name)."""
        first, last = times.period(period)
        asked = {"first": first, "last": last, "known": known, "name": name}
        rows = {}
        for account, name, commodity, opening, closing in self.ask(BALANCES, asked):
            rows[account, name, commodity] = {"opening": opening, "in": {}, "out": {}, "closing": closing,
                                              "stages": {}}
        for *key, counter, gain, loss in self.ask(FLOWS, asked):
            row = rows[tuple(key)]
            row["in"].update({counter: gain} if gain else {})
            row["out"].update({counter: loss} if loss else {})
        for *key, stage, closing in self.ask(STAGES, asked):
            rows[tuple(key)]["stages"][stage] = closing
        beside = {tuple(key): (count, records) for *key, count, records in self.ask(UNHELD, asked)}
        return {"rows": rows, "deaths": dict(self.ask(DEATHS, asked) + self.ask(ORDERED, asked)), "beside": beside}

    def ask(self, query, asked):
        """Rows of a query, with those of the parameters that it names."""
        return self.base.execute(query, {key: value for key, value in asked.items()
                                         if f"${key}" in query}).fetchall()


def main():
    parser = argparse.ArgumentParser(description="The statement counted again.")
    parser.add_argument("region", type=Path)
    parser.add_argument("records", type=Path)
    parser.add_argument("--period", required=True)
    parser.add_argument("--as-known-at")
    asked = parser.parse_args()
    region = json.loads(asked.region.read_text())
    lines = [json.loads(line) for line in asked.records.read_text().splitlines()]
    known = [(times.microseconds(line["knownFrom"]), line["record"]) for line in lines]
    at = times.known_at(asked.as_known_at, region["timeZone"]) if asked.as_known_at else max(
        stamp for stamp, _ in known)
    account = Books(region, known).account(asked.period, at)
    rows = [dict(zip(("account", "scientificName", "commodity"), key), **row)
            for key, row in sorted(account["rows"].items())]
    beside = [dict(zip(("kind", "centreID", "scientificName", "individualCount", "records"), (*key, *sums)))
              for key, sums in sorted(account["beside"].items())]
    print(json.dumps({"rows": rows, "deaths": account["deaths"], "beside": beside}, indent=1))


if __name__ == "__main__":
    main()
