"""Accepted names: which commodity a written scientific name counts as.

Reads the published name list (`schemas/data/species.json`) and the names that a region file adds. A name
that neither knows is a commodity of its own.
"""

import json
from pathlib import Path

PUBLISHED = Path(__file__).resolve().parents[3] / "schemas" / "data" / "species.json"


def sourced(value):
    """Names stand bare, as {value, source}, or as a list of either."""
    if isinstance(value, dict):
        return sourced(value["value"])
    if isinstance(value, list):
        return [name for one in value for name in sourced(one)]
    return [value]


def accepted_names(region):
    """Written name -> accepted name, for every name of the lists."""
    if "profiles" in region:
        raise SystemExit("a region file that changes profiles is beyond this recount")
    accepted = {}
    published = json.loads(PUBLISHED.read_text(encoding="utf-8"))["species"]
    added = region.get("nameList", {}).get("names", [])
    for name, entry in [*published.items(), *((one["scientificName"], one) for one in added)]:
        accepted[name] = name
        for other in (*sourced(entry.get("synonyms", [])), *sourced(entry.get("subspecies", []))):
            accepted[other] = name
    return accepted
