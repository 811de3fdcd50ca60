"""The planning model, written down from the contract, and solved by OR-Tools' CP-SAT: neither the model nor
the solver is Haulout's own.

Nothing here is translated from Haulout's own code: the request file and the species profiles (the data
file of the schemas) are read, the rules that the generator's files can touch are stated again, and the
model is built row by row as the contract has it. `without` leaves one family of rows out.
"""

import datetime
import json
import math
from pathlib import Path

from ortools.sat.python import cp_model

AT = datetime.datetime.fromisoformat("2026-07-09T20:00:00+05:30")
HAIR = 1e-6
FAMILIES = ["room", "units", "sizes", "licences", "arrivals", "company", "circuits", "crews", "vehicles",
            "indivisible", "pins", "forbids", "hours"]
INFINITY = math.inf
# Longest journey that an animal of each colour bears, where the file does not say.
BEARABLE_HOURS = {"red": 6, "yellow": 12, "green": 24}
PROFILES = json.loads((Path(__file__).resolve().parents[3] / "schemas/data/species.json").read_text())


def profile(name):
    own = PROFILES["species"][name]
    merged = {}
    for layer in (PROFILES["defaults"][own["order"]], PROFILES["defaults"].get(own["group"], {}), own):
        merged.update({key: value["value"] if isinstance(value, dict) and "value" in value else value
                       for key, value in layer.items()})
    return merged


def covers(taxa, name):
    own = PROFILES["species"][name]
    return any(taxon in (name, own["family"], own["order"]) for taxon in taxa)


def long(one):
    return one["length"].get("high", one["length"]["value"])


def fits(one, heads, unit):
    """Space for so many heads, sized by `one`."""
    rule, size = profile(one["scientificName"])["space"], long(one)
    further = heads - 1
    if rule["rule"] == "floor":
        beyond = max(0, heads - rule["baseAnimals"])
        if beyond and "furtherM2" not in rule:
            return False
        land, water, depth = rule["baseM2"] + beyond * rule.get("furtherM2", 0), 0, 0
    else:
        land = 0
        water = rule["waterLength"] * rule["waterWidth"] * size**2 * (1 + rule["waterPerFurther"] * further)
        depth = min(rule["depth"] * size, rule["heightLimitM"])
    return (land <= unit["landSquareMetre"] + HAIR and water <= unit["waterSquareMetre"] + HAIR
            and depth <= unit["depthMetre"] + HAIR)


def cap_of(one, unit):
    """Most heads of one empty unit, sized by `one`."""
    limit = unit.get("headsLimit", 10**6)
    heads = 0
    while heads < min(limit, 1000) and fits(one, heads + 1, unit):
        heads += 1
    return heads


def live_together(one, other):
    if one.get("batchID") and one.get("batchID") == other.get("batchID"):
        return True
    left, right = profile(one["scientificName"]), profile(other["scientificName"])
    for host, guest in ((left, right), (right, left)):
        company = host["living"]["company"]
        if company == "solitary":
            return False
        if company == "sameSpecies" and one["scientificName"] != other["scientificName"]:
            return False
        if company == "sameGroup" and host["group"] != guest["group"]:
            return False
    sizes = [long(one), long(other)]
    return max(sizes) / min(sizes) <= min(left["living"]["maxSizeRatio"], right["living"]["maxSizeRatio"]) + HAIR


def same_batch(one, other):
    return bool(one.get("batchID")) and one.get("batchID") == other.get("batchID")


def agrees(one, other):
    return other.get("batchID") in one.get("mayRedateBatchIDs", []) if other.get("batchID") else False


def may_join(one, there):
    """A newcomer is isolated from other batches; anyone lives only with company that may be."""
    newcomer = one["stay"] in ("quarantine", "stabilise")
    if newcomer and not same_batch(one, there) and not agrees(one, there):
        return False
    return live_together(one, there)


def may_share(one, other):
    return may_join(one, other) and may_join(other, one)


class Region:
    def __init__(self, file, without):
        self.file, self.without = file, without
        self.requests = list(file["requests"])
        self.emptied = {one["centreID"] for one in file.get("evacuate", [])}
        roads = {(line["from"], line["to"]): line["minutes"] for line in file["roads"].get("travel", [])}
        for emptied in file.get("evacuate", []):
            stand = [(f"{unit['unitID']}/{at}", one) for unit in file["units"] if unit["centreID"] == emptied["centreID"]
                     for at, one in enumerate(unit.get("occupants", []))]
            stand += [(f"unhoused/{at}", one) for centre in file["centres"] if centre["centreID"] == emptied["centreID"]
                      for at, one in enumerate(centre.get("unhoused", []))]
            for where, one in stand:
                minutes = {to: minutes for (start, to), minutes in roads.items() if start == emptied["centreID"]}
                self.requests.append({**one, "requestID": f"evacuate/{emptied['centreID']}/{where}",
                                      "triage": emptied["triage"], "stay": emptied["stay"], "minutes": minutes,
                                      "from": {"placeID": emptied["centreID"]}})
        # A row that requests may share is so many single units (k_u = 1); one that isolates is a row.
        self.units = [unit for unit in file["units"] if unit["centreID"] not in self.emptied
                      for _ in range(1 if unit["arrangement"] == "isolating" else unit.get("units", 1))]
        self.centres = {centre["centreID"]: centre for centre in file["centres"]}

    def present(self, centre):
        housed = [one for unit in self.file["units"] if unit["centreID"] == centre for one in unit.get("occupants", [])]
        return housed + self.centres[centre].get("unhoused", [])

    def bound(self, name, request):
        return [] if name in self.without else [one for one in self.file.get(name, [])
                                                if one["requestID"] == request["requestID"]]

    def bears(self, request, centre):
        """From loading to unloading no longer than an animal of its colour bears, to the minute."""
        hours = self.file.get("settings", {}).get("bearableHours", BEARABLE_HOURS)[request["triage"]]
        return "hours" in self.without or request["minutes"][centre] <= 60 * hours

    def arrival(self, request, centre):
        leaves = AT
        if "earliestDeparture" in request:
            leaves = max(AT, datetime.datetime.fromisoformat(request["earliestDeparture"]))
        return leaves + datetime.timedelta(minutes=request["minutes"][centre])

    def admits(self, request, unit):
        """The rules that no other request has a part in; what `unit` may hold of it in one empty unit."""
        centre = unit["centreID"]
        if centre not in request["minutes"] or not self.bears(request, centre):
            return 0
        # A closed place can neither be reached nor left.
        ends = (centre, request["from"].get("placeID"))
        if any(one["placeID"] in ends for one in self.file["roads"].get("closures", [])):
            return 0
        name = request["scientificName"]
        if not any(covers(line["scope"], name) for line in self.centres[centre]["licences"]):
            return 0
        if not covers(unit["suits"], name) or ("stays" in unit and request["stay"] not in unit["stays"]):
            return 0
        if "lengthLimit" in unit and long(request) > unit["lengthLimit"]["metre"] + HAIR:
            return 0
        holds = lambda one: one["centreID"] == centre and one.get("unitID", unit["unitID"]) == unit["unitID"]
        pins = self.bound("pins", request)
        if (pins and not any(map(holds, pins))) or any(map(holds, self.bound("forbids", request))):
            return 0
        occupants = unit.get("occupants", [])
        if not all(may_join(request, one) for one in occupants):
            return 0
        named = lambda one: one["centreID"] == centre and one["unitID"] == unit["unitID"]
        if "freeSize" in unit:
            return 10**6 if any(map(named, request.get("sizes", []))) else 0
        for cap in filter(named, request.get("caps", [])):
            return cap["cap"]
        if "room" in self.without:
            return 10**4
        # The occupants' own cap holds as well.
        return min([cap_of(request, unit)] + [cap_of(one, unit) for one in occupants])


class Solver:
    """Rows and columns, all whole numbers, and solved as such: there is no tolerance."""

    def __init__(self):
        self.model, self.columns = cp_model.CpModel(), []

    def column(self, upper):
        self.columns.append(self.model.new_int_var(0, upper, f"x{len(self.columns)}"))
        return len(self.columns) - 1

    def row(self, lower, upper, terms):
        lower, upper = max(lower, cp_model.INT_MIN), min(upper, cp_model.INT_MAX)
        self.model.add_linear_constraint(self.sum(terms), int(lower), int(upper))

    def sum(self, terms):
        return cp_model.LinearExpr.weighted_sum([self.columns[at] for at, _ in terms], [cost for _, cost in terms])

    def minimise(self, terms):
        """The objective; afterwards it is fixed."""
        if not terms:
            return 0
        self.model.minimize(self.sum(terms))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        status = solver.solve(self.model)
        if status != cp_model.OPTIMAL:
            raise RuntimeError(f"the reference was not solved: {solver.status_name(status)}")
        value = round(solver.objective_value)
        self.model.clear_objective()
        self.row(-INFINITY, value, terms)
        return value


def build(region, solver):
    """Gives the solver the contract's rows. Returns the terms of the five objectives."""
    file, without = region.file, region.without
    requests = region.requests
    x, t, s, z, q = {}, {}, {}, {}, []
    for r, request in enumerate(requests):
        q.append(solver.column(request["individualCount"]))
    for u, unit in enumerate(region.units):
        isolating = unit["arrangement"] == "isolating"
        occupied = sum(one["individualCount"] for one in unit.get("occupants", []))
        held = []
        for r, request in enumerate(requests):
            n, cap = request["individualCount"], region.admits(request, unit)
            if cap <= 0:
                continue
            held.append((r, cap))
            x[r, u] = solver.column(n)
            if isolating:
                t[r, u] = solver.column(n)
                solver.row(-INFINITY, 0, [(x[r, u], 1), (t[r, u], -min(cap, n) if cap < n else -n)])
            else:
                s[r, u] = solver.column(1)
                solver.row(0, INFINITY, [(x[r, u], 1), (s[r, u], -1)])
                solver.row(-INFINITY, 0, [(x[r, u], 1), (s[r, u], -min(n, cap))])
        if isolating:
            free = unit.get("freeUnits", unit.get("units", 1))
            if "units" not in without and held:
                solver.row(-INFINITY, free, [(t[r, u], 1) for r, _ in held])
            continue
        if "freeSize" in unit:
            if "sizes" not in without and held:
                size = {(r, one["size"]) for r, _ in held for one in requests[r]["sizes"]
                        if one["unitID"] == unit["unitID"] and one["centreID"] == unit["centreID"]}
                solver.row(-INFINITY, unit["freeSize"], [(x[r, u], figure) for r, figure in size])
        else:
            most = occupied + sum(requests[r]["individualCount"] for r, _ in held)
            for r, cap in held:
                # occupants + all that come <= cap + heads (1 - s)
                solver.row(-INFINITY, cap + most - occupied,
                           [(x[other, u], 1) for other, _ in held] + [(s[r, u], most)])
        if "company" not in without:
            for at, (r, _) in enumerate(held):
                for other, _ in held[at + 1:]:
                    if not may_share(requests[r], requests[other]):
                        solver.row(-INFINITY, 1, [(s[r, u], 1), (s[other, u], 1)])
    pairs = {}
    for r, u in x:
        pairs.setdefault((r, region.units[u]["centreID"]), []).append(u)
    for (r, centre), units in pairs.items():
        z[r, centre] = solver.column(1)
        for u in units:
            solver.row(-INFINITY, 0, [(x[r, u], 1), (z[r, centre], -requests[r]["individualCount"])])
    for r, request in enumerate(requests):
        n = request["individualCount"]
        own = [u for u in range(len(region.units)) if (r, u) in x]
        solver.row(n, n, [(x[r, u], 1) for u in own] + [(q[r], 1)])
        if request.get("indivisible") and "indivisible" not in without:
            for u in own:
                whole = solver.column(1)
                solver.row(0, 0, [(x[r, u], 1), (whole, -n)])
    shared_out(region, solver, x, z, pairs)
    waters(region, solver, x)
    colour = lambda name: [(q[r], 1) for r, request in enumerate(requests) if request["triage"] == name]
    costs = file.get("costs", {})
    weights = costs.get("frailty", {"red": 3, "yellow": 2, "green": 1})
    minutes = [(x[r, u], weights[requests[r]["triage"]] * requests[r]["minutes"][region.units[u]["centreID"]])
               for r, u in x]
    minutes += [(column, costs.get("fixedMinutes", 0)) for column in z.values()]
    load = solver.column(10**7)
    for name, centre in region.centres.items():
        of = [unit for unit in file["units"] if unit["centreID"] == name]
        heads = centre.get("heads", sum(unit.get("headsLimit", 0) * unit.get("units", 1) for unit in of))
        if heads > 0:
            there = sum(one["individualCount"] for one in region.present(name))
            solver.row(1000 * there, INFINITY,
                       [(load, heads)] + [(x[r, u], -1000) for r, u in x if region.units[u]["centreID"] == name])
    return [colour("red"), colour("yellow"), colour("green"), minutes, [(load, 1)]]


def shared_out(region, solver, x, z, pairs):
    """Licence lines, arrivals of a day, crews and vehicles of a night."""
    requests, without = region.requests, region.without
    for name, centre in region.centres.items():
        here = [r for r, of in pairs if of == name]
        coming = lambda r: [(x[r, u], 1) for u in pairs[r, name]]
        for line in centre["licences"]:
            if "headsLimit" in line and "licences" not in without:
                kept = sum(one["individualCount"] for one in region.present(name)
                           if covers(line["scope"], one["scientificName"]))
                terms = [term for r in here if covers(line["scope"], requests[r]["scientificName"])
                         for term in coming(r)]
                if terms:
                    solver.row(-INFINITY, max(0, line["headsLimit"] - kept), terms)
        if "arrivalsPerDay" in centre and "arrivals" not in without:
            days = {}
            for r in here:
                days.setdefault(region.arrival(requests[r], name).date(), []).extend(coming(r))
            for day, terms in days.items():
                arrived = centre.get("arrivedToday", 0) if day == AT.date() else 0
                solver.row(-INFINITY, max(0, centre["arrivalsPerDay"] - arrived), terms)
        nights = {}
        for r in here:
            night = (region.arrival(requests[r], name) - datetime.timedelta(hours=12)).date()
            nights.setdefault(night, []).append(r)
        for members in nights.values():
            if "crewsTonight" in centre and "crews" not in without:
                solver.row(-INFINITY, centre["crewsTonight"],
                           [(z[r, name], requests[r].get("crew", 0)) for r in members])
            if "vehicleMinutes" in centre and "vehicles" not in without:
                trip = lambda r: requests[r].get("tripMinutes", {}).get(name, 2 * requests[r]["minutes"][name])
                solver.row(-INFINITY, centre["vehicleMinutes"], [(z[r, name], trip(r)) for r in members])


def waters(region, solver, x):
    """One shared water is one unit: two batches only with the vet's yes."""
    if "circuits" in region.without:
        return
    waters = {}
    for r, u in x:
        unit = region.units[u]
        if "waterCircuit" in unit:
            of = waters.setdefault((unit["centreID"], unit["waterCircuit"]), {})
            of.setdefault(r, []).append(u)
    for of in waters.values():
        uses = {}
        for r, units in of.items():
            uses[r] = solver.column(1)
            for u in units:
                solver.row(-INFINITY, 0, [(x[r, u], 1), (uses[r], -region.requests[r]["individualCount"])])
        members = list(of)
        for at, r in enumerate(members):
            for other in members[at + 1:]:
                one, two = region.requests[r], region.requests[other]
                if not same_batch(one, two) and not (agrees(one, two) and agrees(two, one)):
                    solver.row(-INFINITY, 1, [(uses[r], 1), (uses[other], 1)])


def solve(file, without=()):
    """Objective of each stage."""
    solver = Solver()
    return [solver.minimise(terms) for terms in build(Region(file, set(without)), solver)]
