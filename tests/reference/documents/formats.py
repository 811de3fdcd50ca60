"""Reads a statement's figures back from each format: (section, place, species, heading) -> number."""

import csv
import io
import re
from html.parser import HTMLParser

import openpyxl

HEAD = 4  # row of the headings of a sheet
COLUMNS = {"Opening": "opening", "In": "in", "Out": "out", "Closing": "closing", "Counted": "census"}


def words(key):
    """`destroyedByOrder` as documents write it: `destroyed by order`."""
    return re.sub("([A-Z])", lambda letter: " " + letter[0].lower(), key)


def of_json(statement):
    figures = {}
    for row in statement["account"]["rows"]:
        at = (row["commodity"], row.get("centreID") or row["pointID"], row["scientificName"])
        figures[*at, "opening"] = row["opening"]
        figures[*at, "closing"] = row["closing"]
        for side in ("in", "out"):
            figures[*at, side] = sum(row[side].values())
            for counter, count in row[side].items():
                figures[*at, f"{side}: {words(counter)}"] = count
        if row["census"]:
            figures[*at, "census"] = row["census"]["individualCount"]
    return figures


def of_csv(text):
    figures = {}
    for row in csv.DictReader(io.StringIO(text, newline="")):
        if row["place"].startswith("transit/") or row["line"] in ("stage", "title", "routine"):
            continue
        name = row["scientificName"]
        # The apostrophe that keeps a text from being a formula.
        if re.match("'[=+@\t-]", name):
            name = name[1:]
        at, count = (row["commodity"], row["place"], name), int(row["individualCount"])
        if row["line"] in ("in", "out"):
            figures[*at, f"{row['line']}: {words(row['counterAccount'])}"] = count
            figures[*at, row["line"]] = figures.get((*at, row["line"]), 0) + count
        else:
            figures[*at, row["line"]] = count
    for at in {key[:3] for key in figures}:
        figures.setdefault((*at, "in"), 0)
        figures.setdefault((*at, "out"), 0)
    return figures


def of_xlsx(book):
    figures = {}
    for commodity in ("animals", "eggs"):
        if commodity.capitalize() not in book.sheetnames:
            continue
        sheet = book[commodity.capitalize()]
        titles = [cell.value for cell in sheet[HEAD]]
        for row in sheet.iter_rows(min_row=HEAD + 1, values_only=True):
            if row[0] in (None, "Total"):
                break
            at = (commodity, row[0], row[1])
            for title, value in zip(titles[2:], row[2:]):
                side, _, counter = title.partition(": ")
                if value is not None and side in COLUMNS:
                    figures[*at, COLUMNS[side] + (f": {counter}" if counter else "")] = value
    return figures


class Page(HTMLParser):
    """The figures of a page by its `data-table`, `data-column` and `data-part`."""

    def __init__(self, text):
        super().__init__()
        self.figures, self.tags = {}, set()
        self.table = self.group = self.column = self.part = None
        self.heading = self.foot = False
        self.cells = {}
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        self.tags.add(tag)
        if tag == "table":
            self.table = given.get("data-table")
        elif tag == "tr":
            self.cells = {}
        elif tag == "tfoot":
            self.foot = True
        elif tag == "th":
            self.heading = given.get("scope") == "rowgroup"
            self.group = "" if self.heading else self.group
        elif tag == "li" and "data-part" in given:
            self.part = given["data-part"]
        elif "data-column" in given:
            self.column, self.part = given["data-column"], None
            self.cells[self.column, None] = ""

    def handle_endtag(self, tag):
        if tag == "th":
            self.heading = False
        elif tag == "tfoot":
            self.foot = False
        elif tag in ("li", "span", "td"):
            self.part = None if tag == "li" else self.part
            self.column = None if tag == "td" else self.column
        elif tag == "tr" and self.table in ("animals", "eggs") and not self.foot and self.cells:
            name = self.cells.pop(("scientificName", None))
            for (column, part), text in self.cells.items():
                if column in COLUMNS.values() and text.strip():
                    number = text[len(part):] if part else text
                    heading = column + (f": {part}" if part else "")
                    self.figures[self.table, self.group, name, heading] = int(number)

    def handle_data(self, text):
        if self.heading:
            self.group += text
        elif self.column:
            key = (self.column, self.part)
            self.cells[key] = self.cells.get(key, "") + text


def workbook(data, values):
    return openpyxl.load_workbook(io.BytesIO(data), data_only=values)
