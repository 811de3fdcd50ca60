"""What one record posts: section 3 of the contract, written down a second time.

A movement takes `count` animals or eggs from one account to another; `stage` is their life stage, `when` says
of a death when it fell. Counts are positive: what a record takes back runs the other way.
"""

from typing import NamedTuple

ENDS = {"region": None, "outside": "outside", "owner": "owner", "placement": "placedOut",
        "authority": "handedOver"}
ORIGINS = {"transit": None, "outside": "outside", "owner": "owner", "placement": "placedOut",
           "authority": "handedOver"}


class Movement(NamedTuple):
    source: str
    target: str
    name: str
    commodity: str
    count: int
    stage: str
    when: str | None
    day: str | None  # Another day than the record's own, which only a link names.


def postings(record, accepted):
    """The movements of one record, read by itself; `accepted` gives the accepted name of a written one."""
    if record.get("withdrawn"):
        return []
    rule = RULES.get(record["kind"])
    moved = rule(record) if rule else ()
    found = []
    for source, target, (name, stage), count, *rest in moved:
        when, day = (*rest, None, None)[:2]
        if count < 0:
            source, target, count = target, source, -count
        if count:
            commodity = "eggs" if stage == "egg" else "animals"
            found.append(Movement(source, target, accepted(name), commodity, int(count),
                                  stage or "unstated", when, day))
    return found


def place(record):
    return f"centre/{record['centreID']}" if "centreID" in record else f"point/{record['pointID']}"


def journey(record):
    return f"transit/{record['consignmentID']}"


def stock_or_journey(record):
    """What names a consignment stands against the journey."""
    return journey(record) if "consignmentID" in record else place(record)


def thing(holder):
    return holder["scientificName"], holder.get("lifeStage")


def rescue(record):
    dead = record.get("vitality") == "dead"
    yield (record["source"], "dead" if dead else place(record), thing(record), record["individualCount"],
           "beforeRescue" if dead else None)


def tally(record):
    stock, lot = place(record), thing(record)
    counted = sum(line["alive"] + line["dead"] for line in record["lines"])
    yield stock, "recount", lot, record["lotCount"] - counted
    yield stock, "redetermined", lot, counted
    for line in record["lines"]:
        yield "redetermined", stock, thing(line), line["alive"] + line["dead"]
        yield stock, "dead", thing(line), line["dead"], line.get("when", "beforeRescue")


def clutch(record):
    event, count = record["event"], record.get("individualCount", 0)
    name = record["scientificName"]
    eggs, animals = (name, "egg"), (name, "hatchling")
    stock = stock_or_journey(record)
    if event == "collected":
        yield "wild", place(record), eggs, count  # The consignment is the promise that it fills.
    elif event == "laid":
        yield "laid", stock, eggs, count
    elif event == "hatched":
        yield stock, "hatched", eggs, count
        yield "hatched", stock, animals, count
    elif event == "failed":
        yield stock, "dead", eggs, count
    elif event == "foundHatched":
        yield "hatched", stock, animals, count


def mortality(record):
    if record["event"] != "death":
        return
    taken = record.get("takenFrom")
    source = {None: stock_or_journey, "stock": place, "transit": journey,
              "released": lambda _: "released"}[taken](record)
    yield source, record.get("end", "dead"), thing(record), record["individualCount"], record["when"]


def loss(record):
    stock = stock_or_journey(record)
    if record["event"] == "found":
        yield record["lostAs"], stock, thing(record), record["individualCount"]
    else:
        yield stock, record["event"], thing(record), record["individualCount"]


def determination(record):
    if record["event"] != "species":
        return
    stock, stage, count = stock_or_journey(record), record.get("lifeStage"), record["individualCount"]
    yield stock, "redetermined", (record["fromScientificName"], stage), count
    yield "redetermined", stock, (record["toScientificName"], stage), count


def dispatch(record):
    end = ENDS[record["destination"]] or journey(record)
    for line in record.get("lines", []):
        yield place(record), end, thing(line), line["individualCount"]


def receipt(record):
    origin = ORIGINS[record["origin"]] or journey(record)
    for line in record.get("lines", []):
        if line["arrived"] == "dead":
            yield origin, "dead", thing(line), line["individualCount"], "inTransit"
        elif line["arrived"] != "notInCrate":
            yield origin, place(record), thing(line), line["individualCount"]


def settlement(record):
    if record["event"] != "settled":
        return
    for line in record["lines"]:
        when = "inTransit" if line["settledAs"] == "dead" else None
        yield journey(record), line["settledAs"], thing(line), line["individualCount"], when


def link(record):
    if record["event"] != "same" or "notCounted" not in record:
        return
    gone = record["notCounted"]
    dead = gone.get("vitality") == "dead"
    yield ("dead" if dead else place(gone), gone["source"], thing(gone), gone["individualCount"],
           "beforeRescue" if dead else None, gone["day"])


def release(record):
    yield place(record), "released", thing(record), record["individualCount"]


def census(record):
    if not record.get("opening"):
        return
    for line in record["lines"]:
        if not line.get("notCountable"):  # Then the line is no statement of a number.
            yield "opening", place(record), thing(line), line["individualCount"]


def adjustment(record):
    yield "unexplained", place(record), thing(record), record["individualCount"]


RULES = {rule.__name__: rule for rule in (rescue, tally, clutch, mortality, loss, determination, dispatch,
                                          receipt, settlement, link, release, census, adjustment)}
