"""Writes records for the validators to judge: all examples, and examples with one thing changed.

    generate.py FOLDER [--records 5000] [--seed N]

FOLDER gets `records.ndjson` and, line by line beside it, `what.ndjson` ({"what", "kind",
"expected"}). The same seed gives the same bytes; the seed is printed.
"""

import argparse
import copy
import json
import random
import secrets
from collections import defaultdict
from pathlib import Path

from changes import of_value, raw, written
from schema_files import by_kind, definition, examples, resolved


def fields(schema, value, whole, path=()):
    """(path, schema, name of its definition, value) of a value and all that is in it."""
    name, schema = definition(schema), resolved(schema, whole)
    yield path, schema, name, value
    for key, member in value.items() if isinstance(value, dict) else ():
        if key in schema.get("properties", {}):
            yield from fields(schema["properties"][key], member, whole, (*path, key))
    for index, item in enumerate(value) if isinstance(value, list) and "items" in schema else ():
        yield from fields(schema["items"], item, whole, (*path, index))


def with_value(record, path, value):
    if not path:
        return value
    changed = copy.deepcopy(record)
    place = changed
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    return changed


def without(record, path):
    changed = copy.deepcopy(record)
    place = changed
    for step in path[:-1]:
        place = place[step]
    del place[path[-1]]
    return changed


def where(path):
    return "/" + "/".join("0" if isinstance(step, int) else step for step in path)


def samples(schemas, good):
    """A value of each field name and each definition, found in the good examples."""
    found = {}
    for kind, _, record in good:
        for path, _, name, value in fields(schemas[kind], record, schemas[kind]):
            if path:
                found.setdefault(path[-1], value)
            found.setdefault(name, value)
    return found


def record_changes(kind, record, schema, found):
    """Changes to a record as a whole."""
    for name, field in schema["properties"].items():
        value = found.get(name, found.get(definition(field)))
        if name not in record and value is not None and name != "withdrawn":
            yield f"added {name}", {**record, name: value}, None
    frame = {name: value for name, value in record.items() if name in schema["then"]["propertyNames"]["enum"]}
    back = {"revision": 2, "withdrawn": True, "withdrawnReason": "Written twice."}
    yield "withdrawn", {**frame, **back}, True
    yield "withdrawn without reason", {**frame, "withdrawn": True}, False
    yield "withdrawn with body", {**record, **back}, len(frame) == len(record)
    yield "withdrawn by a number", {**frame, **back, "withdrawn": raw("1")}, False
    yield "withdrawn by a word", {**frame, **back, "withdrawn": "true"}, False
    yield "not withdrawn", {**record, "withdrawn": False}, True
    yield "not withdrawn and no body", {**frame, **back, "withdrawn": False}, len(frame) == len(record) or None
    for version in ("1", "1.0.0", "1.1", "2.0", "01.0", "1.0\n", raw("1.0"), "１.0"):
        yield "another version", {**record, "schemaVersion": version}, False
    for other in ("", "Rescue", kind + "s", "record", "constructor", None, raw("1"), [kind]):
        yield "another kind", {**record, "kind": other}, False
    yield "own fields of any form", {**record, "extensions": {"a": None, "b": [1, {"c": raw("1e2")}], "": ""}}, True


def changes(schemas):
    """(name of the change, kind, record, expected) of everything that can be done."""
    good = [(kind, name, record) for kind, name, is_good, record in examples() if is_good]
    found = samples(schemas, good)
    for kind, _, record in good:
        schema = schemas[kind]
        for what, changed, expected in record_changes(kind, record, schema, found):
            yield what, kind, changed, expected
        for path, field, name, value in fields(schema, record, schema):
            for what, new, expected in of_value(field, name, value):
                yield f"{what} at {where(path)}", kind, with_value(record, path, new), expected
            if path and isinstance(path[-1], str):
                yield f"missing {where(path)}", kind, without(record, path), None
    for other in ([], "rescue", 3, True, None, {}, {"kind": "rescue"}, [{"kind": "rescue"}]):
        yield "no record at all", "", other, False


def chosen(candidates, count, seed):
    """`count` records, taken by turns from each sort of change, so that no sort crowds another out."""
    turn = random.Random(seed)
    sorts = defaultdict(list)
    for candidate in candidates:
        sorts[candidate[0].split(" at /")[0]].append(candidate)
    for waiting in sorts.values():
        turn.shuffle(waiting)
    seen, taken = set(), []
    while len(taken) < count and sorts:
        for sort in list(sorts):
            candidate = sorts[sort].pop()
            text = written(candidate[2])
            if text not in seen:
                seen.add(text)
                taken.append((*candidate, text))
            if not sorts[sort]:
                del sorts[sort]
            if len(taken) == count:
                break
    return taken


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--records", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=None)
    options = parser.parse_args()
    seed = secrets.randbelow(2**32) if options.seed is None else options.seed
    schemas = by_kind()
    lines = [(name, kind, None, good, written(record)) for kind, name, good, record in examples()]
    shown = len(lines)
    lines += chosen(changes(schemas), options.records, seed)
    options.folder.mkdir(parents=True, exist_ok=True)
    with (options.folder / "records.ndjson").open("w", encoding="utf-8", newline="\n") as out:
        out.writelines(line[4] + "\n" for line in lines)
    with (options.folder / "what.ndjson").open("w", encoding="utf-8", newline="\n") as out:
        for what, kind, _, expected, _ in lines:
            out.write(json.dumps({"what": what, "kind": kind, "expected": expected}) + "\n")
    print(f"seed {seed}: {shown} examples and {len(lines) - shown} changed records")


if __name__ == "__main__":
    main()
