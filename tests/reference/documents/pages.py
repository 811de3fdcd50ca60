"""Reads a PDF as a screen reader does: by its tags, and the text that the fonts' own maps give."""

import io
import re

import pypdf
from pypdf.generic import ContentStream

from formats import COLUMNS

TITLES = {"Animals in centres and holding points": "animals", "Eggs": "eggs"}


def letters(font):
    """A font's map from codes of two bytes to letters (ISO 32000-1, 9.10.3)."""
    cmap, known = font["/ToUnicode"].get_data().decode("latin-1"), {}
    text = lambda word: bytes.fromhex(word).decode("utf-16-be")
    for block in re.findall(r"beginbfchar(.*?)endbfchar", cmap, re.S):
        known |= {int(code, 16): text(word) for code, word in re.findall(r"<(\w+)>\s*<(\w+)>", block)}
    for block in re.findall(r"beginbfrange(.*?)endbfrange", cmap, re.S):
        for first, last, word in re.findall(r"<(\w+)>\s*<(\w+)>\s*<(\w+)>", block):
            for step in range(int(last, 16) - int(first, 16) + 1):
                known[int(first, 16) + step] = chr(ord(text(word)) + step)
    return known


def marked(page, reader):
    """The text of each marked part of a page, by its number."""
    fonts = {name: letters(font.get_object()) for name, font in page["/Resources"]["/Font"].items()}
    found, open_parts, font = {}, [], {}
    for given, operator in ContentStream(page.get_contents(), reader).operations:
        if operator in (b"BDC", b"BMC"):
            properties = given[1] if len(given) > 1 and isinstance(given[1], dict) else {}
            open_parts.append(properties.get("/MCID"))
        elif operator == b"EMC":
            open_parts.pop()
        elif operator == b"Tf":
            font = fonts[given[0]]
        elif operator in (b"Tj", b"TJ"):
            strings = [one for one in (given[0] if operator == b"TJ" else given) if hasattr(one, "original_bytes")]
            codes = b"".join(one.original_bytes for one in strings)
            words = "".join(font[int.from_bytes(codes[at : at + 2])] for at in range(0, len(codes), 2))
            part = next((number for number in reversed(open_parts) if number is not None), None)
            if part is not None:
                found[part] = found.get(part, "") + words
    return found


class Pages:
    """`texts`: what each page shows; `figures`: as the other formats give them; `marks`: kinds of tags."""

    def __init__(self, data):
        reader = pypdf.PdfReader(io.BytesIO(data))
        self.root, self.made = reader.trailer["/Root"], reader.metadata.creation_date
        self.standard = self.root["/Metadata"].get_data().decode()
        self.texts = [page.extract_text() for page in reader.pages]
        self.parts = {page.indirect_reference.idnum: marked(page, reader) for page in reader.pages}
        self.figures, self.marks, self.title = {}, set(), None
        self.walk(self.root["/StructTreeRoot"]["/K"], None)

    def lines(self, node, page):
        """The texts below a node, each that is marked by itself."""
        node = node.get_object()
        if isinstance(node, int):
            return [self.parts[page][node]] if node in self.parts[page] else []
        if isinstance(node, list):
            return [line for child in node for line in self.lines(child, page)]
        page = node.raw_get("/Pg").idnum if "/Pg" in node else page
        if "/MCID" in node:
            return self.lines(node["/MCID"], page)
        return self.lines(node["/K"], page) if "/K" in node else []

    def walk(self, node, page):
        node = node.get_object()
        if isinstance(node, list):
            for child in node:
                self.walk(child, page)
        elif isinstance(node, dict) and "/S" in node:
            kind = node["/S"]
            self.marks.add(kind)
            if kind == "/H1":
                self.title = TITLES.get("".join(self.lines(node, None)))
            elif kind == "/Table" and self.title:
                self.table(node)
            if "/K" in node:
                self.walk(node["/K"], page)

    def rows(self, node):
        node = node.get_object()
        if isinstance(node, list):
            return [row for child in node for row in self.rows(child)]
        if not isinstance(node, dict) or "/S" not in node:
            return []
        return [node] if node["/S"] == "/TR" else self.rows(node["/K"])

    def table(self, node):
        rows = [[self.lines(cell, None) for cell in row["/K"]] for row in self.rows(node)]
        titles, place = ["".join(cell) for cell in rows[0]], None
        for row in rows[1:]:
            name = "".join(row[0])
            if len(row) == 1:
                place = name
            elif name != "Total":
                for title, cell in zip(titles[1:], row[1:]):
                    self.cell((self.title, place, name), title, " ".join(" ".join(cell).split()))

    def cell(self, at, title, text):
        text = re.sub(r" ?\d{4}-\d\d-\d\d$", "", text).replace("\u2212", "-")
        if text:
            number, parts = re.fullmatch(r"(-?\d+)((?: \D+? -?\d+)*)", text).groups()
            self.figures[*at, COLUMNS[title]] = int(number)
            for label, count in re.findall(r" (\D+?) (-?\d+)", parts):
                self.figures[*at, f"{COLUMNS[title]}: {label}"] = int(count)
