"""Records at random, of every kind that posts: what no simulated basin would write down.

Any number in any place, any form of date, names that mean others, corrections that come before what they
correct, that withdraw, bring back or change the kind. Nothing in them makes sense together; each posts by itself, and
the sums must be right all the same.
"""

import json
import random
from datetime import date, datetime, timedelta

FIRST, LAST = date(2026, 6, 20), date(2026, 10, 10)
NAMES = ["Crocodylus palustris", "Gavialis gangeticus", "Lissemys punctata", "Nilssonia gangetica",
         "Geochelone elegans", "Testudines", "Nilssonia", "Pseudemys invented",
         "Crocodylus palustris x Crocodylus johnsoni"]
SOURCES = ["wild", "trade", "private", "farm", "unknown", "outside", "released", "escaped"]
WHENS = ["beforeRescue", "inTransit", "within48h", "inCare"]
STAGES = [None, None, "egg", "hatchling", "juvenile", "subadult", "adult"]


class Inventor:
    """Invents records of the parties of a region."""

    def __init__(self, region, others, seed):
        self.luck = random.Random(seed)
        self.names = NAMES + others
        self.coordination = next(p["partyID"] for p in region["parties"] if p["role"] == "coordination")
        self.places = [("centreID", p["partyID"], p["partyID"]) for p in region["parties"] if p["role"] == "centre"]
        self.places += [("pointID", p["pointID"], p["keeperID"]) for p in region["points"]]
        keepers = {keeper for _, _, keeper in self.places}
        self.keepers = sorted(keepers)
        self.kinds = [self.rescue, self.tally, self.clutch, self.mortality, self.loss, self.determination,
                      self.dispatch, self.receipt, self.settlement, self.release, self.census,
                      self.adjustment, self.relocation, self.nest]

    def some(self, chance, **fields):
        return fields if self.luck.random() < chance else {}

    def name(self):
        return self.luck.choice(self.names)

    def count(self):
        return self.luck.choice([1, 1, 2, 3, 7, 20, self.luck.randint(1, 400)])

    def stage(self):
        stage = self.luck.choice(STAGES)
        return {"lifeStage": stage} if stage else {}

    def lot(self):
        return f"meruva.{self.luck.choice('abc')}:{self.luck.randint(1, 40)}"

    def journey(self):
        return f"{self.coordination}:{self.luck.randint(1, 12)}"

    def subject(self):
        """One animal, or a lot of any number."""
        if self.luck.random() < 0.3:
            return {"organismID": self.lot(), "individualCount": 1}
        return {"lotID": self.lot(), "individualCount": self.count()}

    def of(self, name="scientificName"):
        return {name: self.name()}

    def line(self):
        return {**self.of(), **self.stage(), "individualCount": self.count()}

    def lines(self, make):
        return [make() for _ in range(self.luck.randint(1, 4))]

    def when(self):
        """A date in any of the forms that a record may use; month ends oftener than other days."""
        luck = self.luck
        day = FIRST + timedelta(luck.randint(0, (LAST - FIRST).days))
        if luck.random() < 0.2:
            day = day.replace(day=1) - timedelta(luck.randint(0, 1))
        clock = f"{luck.randint(0, 23):02}:{luck.randint(0, 59):02}"
        zone = luck.choice(["+05:30", "Z", "-11:00", "+14:00"])
        other = day - timedelta(luck.randint(1, 9))
        return luck.choices([f"{day}", f"{day}T{clock}{zone}", f"{other}/{day}", f"{day}/{other}",
                             f"{other}T{clock}{zone}/{day}T{clock}{zone}", f"{day:%Y-%m}", f"{day:%Y}"],
                            [6, 6, 1, 0.5, 1, 0.5, 0.2])[0]

    def rescue(self):
        return {"event": self.luck.choice(["fromWild", "seizure", "surrender", "leftAtGate", "readmission"]),
                "source": self.luck.choice(SOURCES), "countMethod": "counted", **self.of(), **self.subject(),
                **self.stage(), **self.some(0.3, vitality=self.luck.choice(["alive", "dead"]))}

    def tally(self):
        def line():
            return {**self.of(), **self.stage(), "alive": self.luck.choice([0, 1, 5, 60]),
                    "dead": self.luck.choice([0, 0, 1, 9]), **self.some(0.5, when=self.luck.choice(WHENS))}
        return {"lotID": self.lot(), **self.of(), **self.stage(), "lotCount": self.luck.randint(1, 150),
                "lines": self.lines(line)}

    def clutch(self):
        events = ["collected", "laid", "candled", "hatched", "failed", "foundHatched"]
        return {"event": self.luck.choice(events), "lotID": self.lot(), **self.of(),
                "individualCount": self.count(), **self.some(0.3, consignmentID=self.journey())}

    def mortality(self):
        luck = self.luck
        event = luck.choices(["death", "necropsy", "disposal"], [6, 1, 1])[0]
        taken = luck.choice([None, None, "stock", "transit", "released"])
        record = {"event": event, **self.of(), **self.subject(), **self.stage(), "when": luck.choice(WHENS),
                  **({"takenFrom": taken} if taken else {}), **self.some(0.2, end="destroyedByOrder")}
        if taken == "transit" or luck.random() < 0.3:
            record["consignmentID"] = self.journey()
        if event != "death":
            record["deathOf"] = {"authorID": luck.choice(self.keepers), "recordID": "r-1"}
            record |= {"necropsyDone": True} if event == "necropsy" else {"disposalMethod": "buried"}
        return record

    def loss(self):
        event = self.luck.choice(["escaped", "stolen", "missing", "found"])
        lost = {"lostAs": self.luck.choice(["escaped", "stolen", "missing"])} if event == "found" else {}
        return {"event": event, **lost, **self.of(), **self.subject(), **self.stage(),
                **self.some(0.3, consignmentID=self.journey())}

    def determination(self):
        event = self.luck.choices(["species", "sex", "lifeStage"], [6, 1, 1])[0]
        record = {"event": event, **self.subject(), **self.stage(), **self.some(0.3, consignmentID=self.journey())}
        if event == "species":
            record |= {**self.of("fromScientificName"), **self.of("toScientificName")}
        return record | {"sex": {"sex": "female"}, "lifeStage": {"lifeStage": "adult"}}.get(event, {})

    def dispatch(self):
        destination = self.luck.choices(["region", "outside", "owner", "placement", "authority"], [6, 1, 1, 1, 1])[0]
        to = {"destinationID": self.luck.choice(self.places)[1]} if destination == "region" else {}
        return {"consignmentID": self.journey(), "destination": destination, **to, **self.loaded(self.line)}

    def loaded(self, make):
        if self.luck.random() < 0.1:
            return {"crates": [{"crateID": "C1", "disinfected": "unknown"}]}
        return {"lines": self.lines(make)}

    def receipt(self):
        def line():
            arrived = ["alive", "dead", "extra", "turnedBack", "notInCrate"]
            return {"arrived": self.luck.choice(arrived), **self.line(), **self.some(0.2, documentedCount=5)}
        origin = self.luck.choices(["transit", "outside", "owner", "placement", "authority"], [6, 1, 1, 1, 1])[0]
        return {"consignmentID": self.journey(), "origin": origin, **self.loaded(line)}

    def settlement(self):
        def line():
            settled = self.luck.choice(["dead", "missing", "recount", "redetermined"])
            return {**self.of(), **self.stage(), "settledAs": settled, "reason": "counted again",
                    "individualCount": self.luck.choice([-30, -2, -1, 0, 1, 2, 30])}
        if self.luck.random() < 0.2:
            agreed = {"authorID": self.luck.choice(self.keepers), "recordID": "r-1"}
            return {"event": "agreed", "consignmentID": self.journey(), "agreesTo": agreed}
        return {"event": "settled", "consignmentID": self.journey(), "lines": self.lines(line)}

    def link(self):
        luck = self.luck
        kind, place, keeper = luck.choice(self.places)
        gone = {"authorID": keeper, "recordID": f"r-{luck.randint(1, 50)}", kind: place, **self.line(),
                "source": luck.choice(SOURCES), "day": (FIRST + timedelta(luck.randint(0, 100))).isoformat(),
                **self.some(0.3, vitality=luck.choice(["alive", "dead"]))}
        numbers = {"organismIDs": ["meruva.a:1", "meruva.a:2"]}
        same = {"counted": {"authorID": luck.choice(self.keepers), "recordID": "r-1"}, "notCounted": gone}
        return {"event": luck.choices(["same", "notSame"], [5, 1])[0], **luck.choices([same, numbers], [5, 1])[0]}

    def release(self):
        return {**self.of(), **self.subject(), **self.stage()}

    def census(self):
        def line():
            return {**self.line(), **self.some(0.2, individualCount=0), **self.some(0.1, notCountable=True)}
        return {"method": "books", "complete": self.luck.random() < 0.5, "lines": self.lines(line),
                **self.some(0.8, opening=self.luck.random() < 0.8)}

    def adjustment(self):
        count = self.luck.choice([-20, -3, -1, 1, 4, 50])
        return {**self.of(), **self.stage(), "individualCount": count, "reason": "not explained"}

    def relocation(self):
        return {**self.of(), "individualCount": self.count()}

    def nest(self):
        return {"event": self.luck.choice(["protected", "moved", "lost", "hatched"]), **self.of(),
                **self.some(0.7, individualCount=self.count()), "nestID": f"N{self.luck.randint(1, 5)}"}

    def kind(self, author):
        """A kind that the author may write."""
        return self.link if author == self.coordination else self.luck.choice(self.kinds)

    def revision(self, make, author, record, number):
        """One revision of a record."""
        frame = {"recordID": record, "revision": number, "kind": make.__name__, "schemaVersion": "1.0",
                 "authorID": author, "eventDate": self.when()}
        place, identifier, _ = self.luck.choice([one for one in self.places if one[2] == author] or [(None,) * 3])
        if make in (self.relocation, self.nest):
            frame["centreID"] = author
        elif make != self.link:
            frame[place] = identifier
        if number > 1 and self.luck.random() < 0.3:
            return {**frame, "withdrawn": True, "withdrawnReason": "written twice"}
        return {**frame, **make()}

    def records(self, count):
        """Every revision of `count` records, each with the hour at which it is posted."""
        luck = self.luck
        for n in range(count):
            author = self.coordination if luck.random() < 0.06 else luck.choice(self.places)[2]
            numbers = luck.choices([[1], [1, 2], [1, 2, 3], [2], [1, 4]], [6, 3, 1, 0.5, 0.5])[0]
            make = self.kind(author)
            for number in numbers:
                if luck.random() < 0.15:
                    make = self.kind(author)
                yield self.hour(), author, json.dumps(self.revision(make, author, f"r-{n}", number))

    def hour(self):
        return datetime(2026, 7, 1) + timedelta(hours=6 * self.luck.randint(0, 4 * 115))
