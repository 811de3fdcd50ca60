"""Accepted names: which commodity a written scientific name counts as.

Reads the published name list (`schemas/data/species.json`) and the names that a region file adds. A name
that neither knows is a commodity of its own; a hybrid is written by the accepted names of its parents.
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


class Names:
    """The lists of a region."""

    def __init__(self, region):
        self.listed = listed(region)

    def accepted(self, written):
        """The name under which a written one is counted."""
        return " x ".join(self.listed.get(parent, parent) for parent in written.split(" x "))

    def others(self):
        """Names that mean another, sorted."""
        return sorted(name for name, accepted in self.listed.items() if name != accepted)


def listed(region):
    """Written name -> accepted name."""
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
