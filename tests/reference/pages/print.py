"""Prints cards and driver's pages by Chromium; each must be one page of A4 on which its text is to be found."""

import json
import re
import subprocess
import sys
from pathlib import Path
from urllib.parse import quote

from records import DESHARU, POLICE, journey, region

sys.path.insert(0, str(Path(__file__).parent.parent / "recount"))
from hub import Hub  # noqa: E402

HOOKS = "spit through the shell;hooks in the jaw;cord round the limbs;cut on the flank"
SHELL = "straightCarapaceLength"
CARDS = {
    "large-crocodile": f"scientificName={quote('Crocodylus porosus')}&length=4.6&injuries={quote(HOOKS)}",
    "gharial": f"scientificName={quote('Gavialis gangeticus')}&length=3.9&danger=true&injuries={quote(HOOKS)}",
    "hatchling": f"scientificName={quote('Crocodylus palustris')}&length=0.31",
    "softshell": f"scientificName={quote('Nilssonia gangetica')}&length=0.62&measure={SHELL}&injuries={quote(HOOKS)}",
    "pond-turtle": f"scientificName={quote('Geoclemys hamiltonii')}&length=0.3&measure={SHELL}",
    "tortoise": f"scientificName={quote('Indotestudo elongata')}&length=0.28&measure={SHELL}",
    "species-unknown": f"group=snappingTurtle&injuries={quote(HOOKS)}",
}
# A forecast that closes the day and opens its ends; one in which no hour is open; none.
AIR = {
    "cool": "day=2026-07-09&min=21,21&max=30,31&warmerKelvin=0",
    "hot": "day=2026-07-09&min=27,27&max=39,40",
    "none": "",
}
# A4 in points, with a point for rounding.
A4 = (595, 842)


class Pages(Hub):
    def html(self, path, role=None, party=None):
        token = {"authorization": f"Bearer {self.tokens[role, party]}"} if role else {}
        self.line.request("GET", path, headers={"accept": "text/html", **token})
        answer = self.line.getresponse()
        body = answer.read().decode()
        if answer.status != 200:
            raise SystemExit(f"{path}: {answer.status} {body}")
        return body


def printed(name, html, folder):
    """Pages of the printed file, and their size in points."""
    source, target = folder / f"{name}.html", folder / f"{name}.pdf"
    source.write_text(html)
    command = ["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
               f"--user-data-dir={folder / 'profile'}", f"--print-to-pdf={target}", source.as_uri()]
    done = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=300)
    if done.returncode or not target.exists():
        raise SystemExit(f"chromium printed no page: {done.stderr[-2000:]}")
    file = target.read_bytes()
    boxes = re.findall(rb"/MediaBox\s*\[\s*0 0 ([0-9.]+) ([0-9.]+)", file)
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", file)), {(round(float(x)), round(float(y))) for x, y in boxes}


def main():
    binary, scratch, kept = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
    (scratch / "region.json").write_text(json.dumps(region()))
    failed = passed = 0

    def judge(name, html, *words):
        nonlocal failed, passed
        pages, sizes = printed(name, html, kept)
        missing = [word for word in words if word not in html]
        near = all(abs(x - A4[0]) <= 1 and abs(y - A4[1]) <= 1 for x, y in sizes)
        if pages == 1 and near and not missing:
            passed += 1
        else:
            failed += 1
            print(f"{name}: {pages} pages of {sorted(sizes)}, missing {missing}")

    with Pages(binary, f"sqlite://{scratch / 'hub.db'}?mode=rwc", scratch / "region.json") as hub:
        hub.set_clock("2026-07-09T05:00:00+05:30")
        for name, question in CARDS.items():
            judge(f"card-{name}", hub.html(f"/v1/welfare/handling-card?{question}"), "Never", "Before anything else")
        hub.set_clock("2026-07-09T18:00:00+05:30")
        hub.call("centre", DESHARU, "GET", "/v1/records?limit=1")
        for number, groups in ((1, 1), (3, 3), (5, 5)):
            hub.submit("centre", POLICE, [json.dumps(one) for one in journey(number, groups)])
            for air, question in AIR.items():
                page = hub.html(f"/v1/consignments/{POLICE}:{number}/brief?{question}", "centre", DESHARU)
                judge(f"brief-{groups}-{air}", page, ">Hazards<", "Before anybody touches them", "Departure window",
                      "Crate inside", "Stop and look", "cooler part of the day" if air == "none" else "Rests on")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
