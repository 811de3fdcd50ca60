"""The published schema and the examples, as files."""

import json
from pathlib import Path

SCHEMAS = Path(__file__).resolve().parents[3] / "schemas"
PUBLISHED = SCHEMAS / "published" / "1.0"
EXAMPLES = SCHEMAS / "examples"


def load(path):
    return json.loads(path.read_text(encoding="utf-8"))


def any_record():
    return load(PUBLISHED / "record.schema.json")


def by_kind():
    names = {path.name.removesuffix(".schema.json"): path for path in PUBLISHED.glob("*.schema.json")}
    return {name: load(path) for name, path in sorted(names.items()) if name != "record"}


def examples():
    """(kind, name, good, record) of every example, in order of names."""
    for kind in sorted(path.name for path in EXAMPLES.iterdir()):
        for path in sorted((EXAMPLES / kind).rglob("*.json")):
            name = f"{kind}/{path.relative_to(EXAMPLES / kind).with_suffix('')}"
            yield kind, name, path.parent.name != "bad", load(path)


def resolved(schema, whole):
    """The schema behind a reference into the same file."""
    while "$ref" in schema:
        schema = whole["$defs"][schema["$ref"].removeprefix("#/$defs/")]
    return schema


def definition(schema):
    """The name of the definition that a field refers to, where it does."""
    return schema.get("$ref", "").removeprefix("#/$defs/")
