"""Plans at four sizes, ours beside plain HiGHS on the model as written, two threads each, in one run.

    bench.py PLAN [--quick] [--seconds S]

PLAN is the built example `plan`. The other side is `tests/reference/plans/model.py`, through `highspy`.
`--quick` runs the first two sizes. Every gap is against a bound that is proven by the side that shows
it. Nothing here fails because of a time.
"""

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "reference/plans"))
import model  # noqa: E402
import regions  # noqa: E402

NAMES = ["unplacedRed", "unplacedYellow", "unplacedGreen", "minutes", "loadPerMille"]


def gap(objective, bound):
    return 0.0 if bound >= objective else (objective - bound) / objective


def plain(file, seconds):
    """Objective, bound and seconds of each stage; the time is shared out as it comes."""
    solver, objectives = model.build(model.Region(file, set()))
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
