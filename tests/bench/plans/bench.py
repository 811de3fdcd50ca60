"""Plans at four sizes, ours beside plain HiGHS on the model as written, two threads each, in one run.

    bench.py PLAN [--quick] [--seconds S]

PLAN is the built example `plan`. The other side is the model of `tests/reference/plans/model.py`, given to
`highspy`.
`--quick` runs the first two sizes. Every gap is against a bound that is proven by the side that shows
it. Nothing here fails because of a time.
"""

import json
import math
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import highspy

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "reference/plans"))
import model  # noqa: E402
import regions  # noqa: E402

NAMES = ["unplacedRed", "unplacedYellow", "unplacedGreen", "minutes", "loadPerMille"]


class Plain:
    """Rows and columns, all whole numbers, given to HiGHS as they are."""

    def __init__(self):
        self.highs = highspy.Highs()
        self.highs.setOptionValue("output_flag", False)
        self.highs.setOptionValue("threads", 2)
        self.highs.setOptionValue("mip_rel_gap", 0.0)
        self.highs.setOptionValue("mip_abs_gap", 0.5)
        self.columns = 0

    def column(self, upper):
        self.highs.addVar(0, upper)
        self.highs.changeColIntegrality(self.columns, highspy.HighsVarType.kInteger)
        self.columns += 1
        return self.columns - 1

    def row(self, lower, upper, terms):
        merged = {}
        for column, factor in terms:
            merged[column] = merged.get(column, 0) + factor
        self.highs.addRow(lower, upper, len(merged), list(merged), list(merged.values()))

    def minimise(self, terms, seconds):
        """Objective and bound; afterwards the objective is fixed."""
        costs = {}
        for column, cost in terms:
            costs[column] = costs.get(column, 0) + cost
        for column in range(self.columns):
            self.highs.changeColCost(column, costs.get(column, 0))
        self.highs.setOptionValue("time_limit", self.highs.getRunTime() + seconds)
        self.highs.run()
        if self.highs.getModelStatus() in (highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kSolveError):
            # The stage before was feasible, so this one is: from what is left of the last run, or where its
            # presolve is wrong, the solver may say otherwise. It begins anew, without its presolve.
            self.highs.clearSolver()
            self.highs.setOptionValue("presolve", "off")
            self.highs.run()
            self.highs.setOptionValue("presolve", "choose")
        if not costs:
            return 0, 0
        info = self.highs.getInfo()
        value = round(info.objective_function_value)
        bound = math.ceil(info.mip_dual_bound - 1e-4)
        self.row(-model.INFINITY, value + 0.01, list(costs.items()))
        return value, bound


def gap(objective, bound):
    return 0.0 if bound >= objective else (objective - bound) / objective


def plain(file, seconds):
    """Objective, bound and seconds of each stage; the time is shared out as it comes."""
    solver = Plain()
    objectives = model.build(model.Region(file, set()), solver)
    left, stages = seconds, []
    for terms in objectives:
        began = time.perf_counter()
        try:
            objective, bound = solver.minimise(terms, max(left, 0.1))
        except OverflowError:
            stages.append((None, None, time.perf_counter() - began))
            break
        took = time.perf_counter() - began
        left -= took
        stages.append((objective, bound, took))
    return stages


def shown(objective, bound):
    if objective is None:
        return "nothing found"
    open_by = gap(objective, bound)
    return f"{objective} proven" if open_by == 0 else f"{objective}, bound {bound}, gap {100 * open_by:.2f} %"


def main(program, quick, seconds):
    for size in regions.SIZES[: 2 if quick else None]:
        file = regions.region(*size)
        animals = sum(one["individualCount"] for one in file["requests"])
        print(f"{size[0]} lots x {size[1]} centres x {size[2]} units, {animals} animals", flush=True)
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "region.json"
            path.write_text(json.dumps(file))
            line = subprocess.run([program, "--seconds", str(seconds), "--helps-seconds", "0", str(path)],
                                  check=True, capture_output=True, text=True).stdout
        ours = json.loads(line)
        if "fault" in ours:
            print(f"  ours: {ours['fault']}")
            continue
        theirs = plain(file, 2.5 * seconds)
        for at, name in enumerate(NAMES):
            stage = ours["plan"]["stages"][at]
            other = theirs[at] if at < len(theirs) else (None, None, 0)
            print(f"  {name}: ours {shown(stage['objective'], stage['bound'])}; plain {shown(*other[:2])} in {other[2]:.1f} s")
        took = sum(stage[2] for stage in theirs)
        print(f"  ours {ours['seconds']:.2f} s, explanations included; plain {took:.2f} s; "
              f"ratio {took / ours['seconds']:.2f}", flush=True)


if __name__ == "__main__":
    options = sys.argv[2:]
    limit = float(options[options.index("--seconds") + 1]) if "--seconds" in options else 60.0
    main(sys.argv[1], "--quick" in options, limit)
