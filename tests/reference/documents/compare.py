"""Holds the formats of statements against each other; ends with `N passed, N failed`."""

import csv
import io
import json
import pathlib
import re
import shutil
import subprocess
import sys

from openpyxl.utils.cell import range_boundaries

from formats import Page, of_csv, of_json, of_xlsx, workbook
from pages import Pages

haulout, documents, folder = sys.argv[1], sys.argv[2], pathlib.Path(sys.argv[3])
passed, failed = 0, 0


def check(what, good, told=""):
    global passed, failed
    passed, failed = passed + bool(good), failed + (not good)
    if not good:
        print(f"FAILED {what} {told}")


def same(what, one, other):
    keys = {key for key in one.keys() | other.keys() if one.get(key) != other.get(key)}
    check(what, one and not keys, [(key, one.get(key), other.get(key)) for key in sorted(keys)[:5]])


def evaluated(formula, sheet):
    """What a formula comes to, from the values of the cells that it names."""
    ranged = re.fullmatch(r"=SUM\(([A-Z]+[0-9]+:[A-Z]+[0-9]+)\)", formula)
    if ranged:
        left, top, right, bottom = range_boundaries(ranged[1])
        cells = sheet.iter_rows(top, bottom, left, right, values_only=True)
        return sum(value for row in cells for value in row if value is not None)
    opening, gains, losses = re.fullmatch(r"=([A-Z]+[0-9]+)\+([A-Z]+[0-9]+)-([A-Z]+[0-9]+)", formula).groups()
    return sheet[opening].value + sheet[gains].value - sheet[losses].value


def formulas(what, data, expected):
    """Formulas carry what they come to, and no text of a record is one."""
    plain, valued = workbook(data, False), workbook(data, True)
    found = []
    for sheet in plain:
        for row in sheet.iter_rows():
            found += [(sheet.title, cell.coordinate, cell.value) for cell in row if cell.data_type == "f"]
    wrong = [one for one in found if evaluated(one[2], valued[one[0]]) != valued[one[0]][one[1]].value]
    check(f"{what}: {len(found)} formulas come to what they carry", len(found) > 20 and not wrong, wrong[:5])
    for sheet in plain:
        setup = (sheet.page_setup.orientation, int(sheet.page_setup.paperSize))
        check(f"{what}: {sheet.title} prints on A4 landscape", setup == ("landscape", 9), setup)
    moment = expected["basis"]["asKnownAt"][:19]
    check(f"{what}: made when it was known", plain.properties.created.isoformat() == moment)
    return plain, {one[:2]: valued[one[0]][one[1]].value for one in found}


def recalculated(what, plain, carried):
    """A spreadsheet works the formulas out anew, from a file in which they carry nothing."""
    office = shutil.which("soffice")
    if not office:
        print("not run: LibreOffice")
        return
    bare, out = folder / "bare.xlsx", folder / "out"
    plain.save(bare)
    command = [office, f"-env:UserInstallation=file://{folder}/office", "--headless", "--convert-to", "xlsx"]
    subprocess.run([*command, "--outdir", out, bare], check=True, capture_output=True, timeout=180)
    again = workbook((out / "bare.xlsx").read_bytes(), True)
    wrong = [(at, value) for at, value in carried.items() if again[at[0]][at[1]].value != value]
    check(f"{what}: LibreOffice comes to the same", not wrong, wrong[:5])


def described(what, text, metadata):
    header = next(csv.reader(io.StringIO(text, newline="")))
    columns = json.loads(metadata)["tableSchema"]["columns"]
    check(f"{what}: every column is described", header == [column["titles"] for column in columns])
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    words = [(column["name"], column["datatype"]["format"]) for column in columns if isinstance(column["datatype"], dict)]
    wrong = [row for row in rows for name, form in words if not re.fullmatch(form, row[name])]
    check(f"{what}: every word is one of those described", rows and not wrong, wrong[:3])
    key = json.loads(metadata)["tableSchema"]["primaryKey"]
    check(f"{what}: its key is one", len({tuple(row[name] for name in key) for row in rows}) == len(rows))


def paper(what, data, figures, statement):
    """The pages give the same figures to a screen reader, and say on each what they are."""
    pages = Pages(data)
    same(f"{what}: PDF", figures, pages.figures)
    check(f"{what}: PDF/UA-1", "pdfuaid:part>1<" in pages.standard.replace(" ", ""), pages.standard)
    check(f"{what}: tables are tagged", {"/Title", "/H1", "/Table", "/TH", "/TD"} <= pages.marks, pages.marks)
    moment = statement["basis"]["asKnownAt"][:19]
    check(f"{what}: PDF made when it was known", pages.made.isoformat()[:19] == moment, pages.made)
    wanted = [statement["accountDigest"], statement["findingsDigest"]]
    wanted += ["DEMONSTRATION"] if statement["basis"]["demonstration"] else []
    for number, text in enumerate(pages.texts, 1):
        lacking = [one for one in [*wanted, f"{number} of {len(pages.texts)}"] if one not in text]
        check(f"{what}: page {number} says what it is", not lacking, lacking)


def compare(what, made):
    statement = json.loads(made["json"])
    figures = of_json(statement)
    same(f"{what}: CSV", figures, of_csv(made["csv"].decode()))
    page = Page(made["html"].decode())
    same(f"{what}: HTML", figures, page.figures)
    check(f"{what}: no script in the page", not page.tags & {"script", "img", "iframe"}, page.tags)
    plain, carried = formulas(what, made["xlsx"], statement)
    same(f"{what}: XLSX", figures, of_xlsx(workbook(made["xlsx"], True)))
    recalculated(what, plain, carried)
    described(what, made["csv"].decode(), made["csvw"])
    if "pdf" in made:
        paper(what, made["pdf"], figures, statement)


def from_hub():
    subprocess.run([haulout, "demo", "--once", "--keep", folder / "story"], check=True, capture_output=True)
    where = ["--period", "2026-Q3", "--database", f"sqlite://{folder}/story/haulout.db"]

    def made(format, *more):
        command = [haulout, "statement", *where, "--format", format, *more]
        return subprocess.run(command, check=True, capture_output=True).stdout

    for known in ("2026-10-01", "2026-11-01"):
        formats = {form: made(form, "--as-known-at", known) for form in ("json", "csv", "csvw", "html", "xlsx", "pdf")}
        compare(f"story, as known at {known}", formats)
        for form, data in formats.items():
            check(f"{form} twice: the same bytes", made(form, "--as-known-at", known) == data)
    return json.loads(made("json", "--as-known-at", "2026-10-01"))


def written(statement, name):
    source, out = folder / f"{name}.json", folder / name
    source.write_text(json.dumps(statement))
    subprocess.run([documents, source, out], check=True, capture_output=True)
    read = lambda ending: next(out.glob(f"*{ending}")).read_bytes()
    formats = {"csv": read(".csv"), "csvw": read("-metadata.json"), "html": read(".html"), "xlsx": read(".xlsx")}
    formats["json"] = source.read_bytes()
    formats["pdf"] = read(".pdf")
    subprocess.run([documents, source, out], check=True, capture_output=True)
    check(f"{name}: PDF twice: the same bytes", read(".pdf") == formats["pdf"])
    return formats


def hostile(statement):
    """Names that look like markup, formulas and separators, at 8 centres with 20 species, 500 findings."""
    names = ["=1+1", "<script>alert(1)</script>", "@SUM(A1)", "-2", "a,b\"c", "&amp;", "'"] + [f"Species {n}" for n in range(13)]
    row, finding = statement["account"]["rows"][0], statement["findings"][0]
    statement["account"]["rows"] = [
        row | {"centreID": f"meruva.c{place}", "scientificName": name, "opening": place, "in": {"transit": at, "wild": 2},
               "out": {"destroyedByOrder": 1}, "closing": place + at + 1}
        for place in range(8) for at, name in enumerate(names)
    ]
    statement["findings"] = [finding | {"parameters": {"note": names[n % 7]}} for n in range(500)]
    return statement


if haulout != "-":
    story = from_hub()
else:  # the writers alone, from a statement that was printed before
    story = json.loads(pathlib.Path(sys.argv[4]).read_text())
compare("story by the example", written(story, "story-again"))
compare("hostile names", written(hostile(story), "hostile"))
print(f"{passed} passed, {failed} failed")
sys.exit(failed != 0)
