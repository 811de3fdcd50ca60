"""What can be done to one value: its name, the new value, and the verdict where it is known.

A verdict is True (still a record), False (refused) or None (it depends on other fields; then the
validators only have to agree).
"""

import json

RAW = "\ue000"  # Marks a number that is to be written letter by letter.


def raw(text):
    return f"{RAW}{text}{RAW}"


def written(record):
    """One line of NDJSON, with raw numbers as they stand."""
    text = json.dumps(record, ensure_ascii=False, separators=(",", ":"))
    return text.replace(f'"{RAW}', "").replace(f'{RAW}"', "")


GOOD_DAYS = ["2026-07-02", "2024-02-29", "2000-02-29", "1900-01-01", "2199-12-31", "2028-02-29"]
BAD_DAYS = [
    "2026-02-30", "2026-02-29", "1900-02-29", "2100-02-29", "2026-04-31", "2026-06-31", "2026-09-31",
    "2026-11-31", "2026-01-32", "2026-13-01", "2026-00-10", "2026-07-00", "2026-7-2", "26-07-02",
    "1899-12-31", "2200-01-01", "20266-07-02", "+2026-07-02", "-2026-07-02", "20260702", "2026-183",
    "2026-W27-4", "2026/07/02", "02.07.2026", "2026-07-02\n", "2026-07-02\r\n", "2026-07-02\r",
    "\n2026-07-02", " 2026-07-02", "2026-07-02 ", "2026-07-02\u2028", "2026-07-02\u0085", "٢٠٢٦-٠٧-٠٢",
    "２０２６-07-02", "२०२६-07-02", "2026\u201307\u201302", "2026-07-0２", "", "today",
]
GOOD_DATES = GOOD_DAYS + [
    "2026", "2026-02", "2026-12", "2026-07-02T06:10Z", "2026-07-02T06:10+05:30", "2026-07-02T00:00-00:00",
    "2026-07-02T23:59:59Z", "2026-07-02T06:10:00.1+14:00", "2026-07-02T06:10:00.123456-13:59",
    "2026-07-02/2026-07-04", "2026-07-04/2026-07-02", "2024-02-29/2024-03-01T06:10Z",
    "2026-07-31T22:00:00.123456+05:30/2026-08-01T02:10:00.654321+05:30",
]
BAD_DATES = BAD_DAYS + [
    "2026-07-02T24:00Z", "2026-07-02T06:60Z", "2026-07-02T06:10:60Z", "2026-07-02t06:10Z",
    "2026-07-02T06:10z", "2026-07-02T06:10", "2026-07-02T06:10:00", "2026-07-02T06Z", "2026-07-02T0610Z",
    "2026-07-02 06:10Z", "2026-07-02T06:10+0530", "2026-07-02T06:10+05", "2026-07-02T06:10+14:30",
    "2026-07-02T06:10+15:00", "2026-07-02T06:10+05:60", "2026-07-02T06:10\u221205:30",
    "2026-07-02T06:10:00,5Z", "2026-07-02T06:10:00.Z", "2026-07-02T06:10:00.1234567Z", "2026-07-02T6:10Z",
    "2026-02-30T06:10Z", "2026-07-02T٠٦:10Z", "2026-07-02T06:10Z\n", "2026-07-02/", "/2026-07-02",
    "2026-07-02/03", "2026-07-02/2026-07", "2026/2027", "2026-07-02/P1D", "2026-07-02/..",
    "2026-07-02/2026-07-03/2026-07-04", "2026-07-02/2026-02-30", "2026-07-02 / 2026-07-04", "2026-7",
    "2026-13", "2026-00", "202", "20266", "2026-07-02T06:10Z[Asia/Kolkata]",
]
OTHER_DIGITS = {"0": "٠", "1": "１", "2": "२", "3": "৩", "4": "٤", "5": "５", "6": "६", "7": "৭", "8": "٨", "9": "９"}
LOOKALIKES = {"a": "а", "c": "с", "e": "е", "o": "о", "p": "р", "i": "і", "s": "ѕ", "A": "А", "K": "\u212a", "k": "К"}


def of_type(schema):
    """Values of every other type."""
    kind = schema.get("type")
    if "const" in schema:
        kind = "string"
    others = {
        "string": "word", "number": raw("3"), "boolean": True, "array": [], "object": {}, "null": None,
    }
    for name, value in others.items():
        if name != kind and not (kind == "integer" and name == "number"):
            yield f"type {name}", value, False


def of_integer(schema, value):
    least, most = schema["minimum"], schema["maximum"]
    yield "integer as fraction .0", raw(f"{value}.0"), True
    yield "integer with exponent", raw(f"{value}e0"), True
    yield "integer with capital exponent", raw(f"{value}0E-1" if value else "0E-1"), True
    yield "half more", raw(f"{value}.5"), False
    yield "below the least", raw(least - 1), False
    yield "above the most", raw(most + 1), False
    yield "a little above the most", raw(f"{most}.000001"), False
    yield "the least", raw(least), None
    yield "the most", raw(most), None
    yield "1e2", raw("1e2"), None
    yield "minus nought", raw("-0"), None
    yield "minus nought point nought", raw("-0.0"), None
    yield "beyond exact doubles", raw("9007199254740993"), False
    yield "huge with exponent", raw("1e300"), False
    yield "number as text", str(value), False
    yield "number in other digits", "".join(OTHER_DIGITS.get(c, c) for c in str(value)), False


def of_number(schema, value):
    least, most = schema["minimum"], schema["maximum"]
    yield "number with exponent", raw(f"{float(value)!r}e0"), True
    yield "the least", raw(least), True
    yield "the most", raw(most), True
    yield "below the least", raw(least - 1), False
    yield "above the most", raw(most + 1), False
    yield "a little below the least", raw(repr(least - 1e-9)), False
    yield "a little above the most", raw(repr(most + 1e-9)), False
    yield "huge with exponent", raw("1e300"), False
    yield "number as text", str(value), False
    yield "number with unit", f"{value} m", False


def of_date(name, value):
    good, bad = (GOOD_DAYS, BAD_DAYS) if name == "day" else (GOOD_DATES, BAD_DATES)
    if name == "day":
        bad = bad + [text for text in GOOD_DATES if text not in GOOD_DAYS] + BAD_DATES
    for text in dict.fromkeys(good):
        yield "a date in order", text, True
    for text in dict.fromkeys(bad):
        yield "a date out of order", text, False
    yield "date as number", raw("20260702"), False


def of_pattern(schema, value):
    for name, end in {"LF": "\n", "CR LF": "\r\n", "CR": "\r", "U+2028": "\u2028", "U+0085": "\u0085", "blank": " "}.items():
        yield f"trailing {name}", value + end, False
        yield f"leading {name}", end + value, False
    yield "line end inside", value[:1] + "\n" + value[1:], False
    yield "combining accent", value + "\u0301", False
    yield "zero-width joiner", value + "\u200d", False
    yield "beyond the basic plane", value + "\U0001f40a", False
    yield "empty", "", False
    yield "over-long", value + "a" * (schema["maxLength"] + 1 - len(value)), False
    yield "upper case", value.upper(), None
    yield "lower case", value.lower(), None
    swapped = "".join(OTHER_DIGITS.get(c, c) for c in value)
    if swapped != value:
        yield "other digits", swapped, False
    for plain, other in LOOKALIKES.items():
        if plain in value:
            yield "lookalike letter", value.replace(plain, other, 1), False
            break


def of_words(schema, value):
    words = schema.get("enum", [schema.get("const")])
    for near in {value.upper(), value.capitalize(), value + "s", value[:-1], value + " ", " " + value, value + "\n", ""}:
        if near not in words:
            yield "near miss of a word", near, False
    for plain, other in LOOKALIKES.items():
        if plain in value:
            yield "lookalike word", value.replace(plain, other, 1), False
            break
    for word in words:
        if word != value:
            yield "another word of the list", word, None


def of_text(schema, value):
    most = schema["maxLength"]
    yield "text with line end", f"{value}\n"[:most], True
    yield "text in another script", "घड़ियाल"[:most], True
    yield "text with controls", "a\tb\u0007", True
    yield "as long as may be", "n" * most, True
    yield "as long as may be, beyond the basic plane", "\U0001f422" * most, True
    yield "one letter too long", "n" * (most + 1), False
    yield "one letter too long, beyond the basic plane", "\U0001f422" * (most + 1), False
    yield "empty", "", schema.get("minLength", 0) == 0


def of_boolean(value):
    yield "the other truth", not value, None
    for other in ("true", "yes", "", raw("0"), raw("1")):
        yield "truth in another form", other, False


def of_list(schema, value):
    yield "empty list", [], None if schema.get("minItems", 0) == 0 else False
    yield "null in a list", [*value, None], False
    yield "list in a list", [value], False
    if value:
        yield "element in place of the list", value[0], False
        if schema["maxItems"] <= 100:
            yield "as many as may be", [value[0]] * schema["maxItems"], True
            yield "one too many", [value[0]] * (schema["maxItems"] + 1), False


def of_members(value):
    for name in ("length", "__proto__", "constructor", "toString", "", "$ref", "ﬁeld", "organismId"):
        if name not in value:
            yield f"unknown field `{name}`", {**value, name: 1}, False
    for name in value:
        rest = {other: member for other, member in value.items() if other != name}
        yield "misspelt field", {**rest, name + "s": value[name]}, False
        yield "field in lower case", {**rest, name.lower(): value[name]}, True if name.lower() == name else False


def of_value(schema, name, value):
    """Every change to one value of a schema; `name` is that of the definition it refers to."""
    yield from of_type(schema)
    kind = schema.get("type")
    if "enum" in schema or "const" in schema:
        yield from of_words(schema, value)
    elif kind == "integer":
        yield from of_integer(schema, value)
    elif kind == "number":
        yield from of_number(schema, value)
    elif name in ("day", "eventDate"):
        yield from of_date(name, value)
    elif kind == "string" and "pattern" in schema:
        yield from of_pattern(schema, value)
    elif kind == "string":
        yield from of_text(schema, value)
    elif kind == "boolean":
        yield from of_boolean(value)
    elif kind == "array":
        yield from of_list(schema, value)
    elif kind == "object" and "properties" in schema:
        yield from of_members(value)
