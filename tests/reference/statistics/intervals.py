"""Holds our exact (Clopper-Pearson) 95 % intervals of x among n against scipy.

    intervals.py INTERVALS [--seed N] [--pairs N]

INTERVALS is a program that reads lines {"x", "n"} and answers each by {"x", "n", "low", "high"}. Then widens
one answer by a thousandth, which must be seen. Ends with a line `N passed, N failed`.
"""

import argparse
import json
import random
import secrets
import subprocess

from scipy.stats import binomtest

# Answers are rounded to four decimals: half of the last one, and what doubles lose.
TOLERANCE = 0.5e-4 + 1e-9
SHOWN = 8
# Published: the help page of R's `binom.test` (682 of 925, after Conover 1971) prints 0.7076683 and 0.7654066.
# By hand: of none among n the upper end is 1 - 0.025^(1/n), and of all among n the lower end 0.025^(1/n).
KNOWN = {(682, 925): (0.7076683, 0.7654066), (0, 10): (0.0, 1 - 0.025 ** (1 / 10)),
         (10, 10): (0.025 ** (1 / 10), 1.0), (0, 1): (0.0, 0.975), (1, 1): (0.025, 1.0)}


def pairs(count, luck):
    """Small and large groups; none, one and all of them oftener than chance would."""
    for _ in range(count):
        n = luck.choice([luck.randint(1, 12), luck.randint(1, 400), luck.randint(1, 100_000)])
        yield luck.choice([0, 1, n, luck.randint(0, n), luck.randint(0, n), min(n, luck.randint(0, 20))]), n


def fault(x, n, answer):
    """What is wrong with an answer, or None."""
    interval = binomtest(x, n).proportion_ci(0.95, method="exact")
    low, high = KNOWN.get((x, n), (interval.low, interval.high))
    if (answer.get("x"), answer.get("n")) != (x, n):
        return f"asked {x} of {n}, answered {answer}"
    if abs(float(answer["low"]) - low) > TOLERANCE or abs(float(answer["high"]) - high) > TOLERANCE:
        return f"{x} of {n}: {answer['low']} to {answer['high']}, expected {low:.6f} to {high:.6f}"
    return None


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("intervals")
    parser.add_argument("--seed", type=int, default=None)
    parser.add_argument("--pairs", type=int, default=1000)
    asked = parser.parse_args()
    seed = secrets.randbelow(2**32) if asked.seed is None else asked.seed
    print(f"seed {seed}: {asked.pairs} random pairs and {len(KNOWN)} known ones")
    questions = [*KNOWN, *pairs(asked.pairs, random.Random(seed))]
    lines = "".join(json.dumps({"x": x, "n": n}) + "\n" for x, n in questions)
    done = subprocess.run([asked.intervals], input=lines, capture_output=True, text=True, check=True)
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    if len(answers) != len(questions):
        raise SystemExit(f"asked {len(questions)} questions, got {len(answers)} answers")
    faults = [one for (x, n), answer in zip(questions, answers) if (one := fault(x, n, answer))]
    for one in faults[:SHOWN]:
        print(one)
    (x, n), altered = questions[0], {**answers[0], "high": float(answers[0]["high"]) + 0.001}
    if fault(x, n, altered) is None:
        faults.append("not seen")
        print(f"self-test: {altered} was not seen to be wrong")
    total = len(questions) + 1
    print(f"{total - len(faults)} passed, {len(faults)} failed")
    raise SystemExit(1 if faults else 0)


if __name__ == "__main__":
    main()
