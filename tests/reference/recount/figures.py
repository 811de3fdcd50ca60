"""A recounted and a stated account, figure by figure."""

WHENS = ["beforeRescue", "inTransit", "within48h", "inCare"]
EMPTY = {"opening": 0, "in": {}, "out": {}, "closing": 0, "stages": {}}


def flat(account):
    """Figure by figure: {(where, which): number}. What is not told is zero."""
    figures = {}
    for key, row in account["rows"].items():
        if not (row["opening"] or row["closing"] or row["in"] or row["out"]):
            continue  # Nothing to tell, so no row, even where its stages do not cancel out.
        for figure in EMPTY:
            values = row[figure] if isinstance(row[figure], dict) else {"": row[figure]}
            figures |= {(*key, f"{figure} {counter}".strip()): value for counter, value in values.items()}
    figures |= {("deaths", when): account["deaths"].get(when, 0) for when in {*WHENS, *account["deaths"]}}
    for key, (count, records) in account["beside"].items():
        figures |= {(*key, "individualCount"): count, (*key, "records"): records}
    return figures


def stated(statement):
    """The hub's statement in the recount's form; a row told twice or without a place is a fault."""
    rows, beside, faults = {}, {}, []
    account = statement["account"]
    for field, kind, told in (("centreID", "centre", account["rows"]), ("pointID", "point", account["rows"]),
                              ("consignmentID", "transit", account["transit"])):
        for row in told:
            key = (f"{kind}/{row.get(field)}", row["scientificName"], row["commodity"])
            if key in rows:
                faults.append(f"{' '.join(key)}: told twice")
            if field in row:
                rows[key] = {figure: row.get(figure, empty) for figure, empty in EMPTY.items()}
    if len(rows) != len(account["rows"]) + len(account["transit"]):
        faults.append("some rows name no place, or two")
    for kind, told in (("relocation", statement["relocations"]), ("nest", statement["nests"])):
        beside |= {(kind, one["centreID"], one["scientificName"]): (one.get("individualCount", 0), one["records"])
                   for one in told}
    return {"rows": rows, "deaths": account["deaths"], "beside": beside}, faults


def differences(recounted, statement):
    """What differs, and how many figures were compared."""
    told, faults = stated(statement)
    ours, theirs = flat(recounted), flat(told)
    for key in sorted(ours.keys() | theirs.keys()):
        if ours.get(key, 0) != theirs.get(key, 0):
            faults.append(f"{', '.join(key)}: recounted {ours.get(key, 0)}, stated {theirs.get(key, 0)}")
    return faults, len(ours.keys() | theirs.keys())
