"""Asks the built example `answers` random questions and compares with independent libraries."""

import argparse
import csv
import json
import math
import os
import random
import subprocess
import sys
import warnings
from datetime import date, datetime, timedelta, timezone

import numpy as np
import statsmodels.api as sm
from astral import Observer
from astral.sun import sunrise, sunset
from geographiclib.geodesic import Geodesic
from lifelines import KaplanMeierFitter
from scipy import stats

warnings.simplefilter("ignore")
parser = argparse.ArgumentParser()
parser.add_argument("answers")
parser.add_argument("--seed", type=int, default=7)
parser.add_argument("--questions", type=int, default=1000)
options = parser.parse_args()
luck = random.Random(options.seed)
failures = []
missed = []


def ask(questions):
    text = "\n".join(json.dumps(question) for question in questions) + "\n"
    done = subprocess.run([options.answers], input=text, capture_output=True, text=True, check=True)
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(answers) == len(questions)
    return answers


def compare(name, questions, judge, tolerance, unit=""):
    """`judge` gives the difference between an answer and the library, or a text that says what is wrong."""
    worst, wrong, shown = 0.0, 0, None
    for question, answer in zip(questions, ask(questions)):
        try:
            difference = judge(question, answer)
        except (KeyError, TypeError, ValueError, IndexError) as fault:
            difference = f"{type(fault).__name__}: {fault}"
        if isinstance(difference, str) or not difference <= tolerance:
            wrong += 1
            shown = shown or (difference, question, answer)
        else:
            worst = max(worst, difference)
    print(f"{name}: {len(questions)} questions, largest difference {worst:.3g}{unit}, {wrong} beyond {tolerance:g}{unit}")
    if wrong or not questions:
        failures.append(name)
        print(f"  first: {str(shown)[:600]}")


def relative(ours, theirs):
    return max(abs(a - b) / max(1.0, abs(b)) for a, b in zip(ours, theirs, strict=True))


def regression(robust):
    n = luck.randint(6, 60)
    b, a = luck.uniform(2.4, 3.6), luck.uniform(1, 5)
    length = [luck.uniform(0.1, 3.0) for _ in range(n)]
    mass = [math.exp(a + b * math.log(x) + luck.gauss(0, 0.15)) for x in length]
    if robust:
        mass[0] *= 20
    inner = luck.uniform(min(length), max(length))
    return {"ask": "regression", "robust": robust, "level": luck.choice([0.9, 0.95, 0.99]),
            "massKg": mass, "lengthM": length, "atM": inner}


def judge_regression(question, answer):
    x, y = np.log(question["lengthM"]), np.log(question["massKg"])
    if question["robust"]:
        model = sm.RLM(y, sm.add_constant(x), M=sm.robust.norms.HuberT(1.345)).fit(maxiter=500, tol=1e-12, conv="coefs")
        return relative([answer["intercept"][0], answer["slope"][0]], model.params)
    model, line = sm.OLS(y, sm.add_constant(x)).fit(), stats.linregress(x, y)
    alpha = 1 - question["level"]
    ranges = model.conf_int(alpha)
    expected = model.get_prediction([[1.0, math.log(question["atM"])]]).summary_frame(alpha)
    e = answer["expected"]
    return relative(
        answer["intercept"] + answer["slope"] + [answer["smaSlope"], answer["slopeError"], answer["interceptError"]]
        + [math.log(e[key]) for key in ("value", "low", "high")],
        [line.intercept, *ranges[0], line.slope, *ranges[1], line.slope / line.rvalue, line.stderr,
         line.intercept_stderr, *[expected[key].iloc[0] for key in ("mean", "obs_ci_lower", "obs_ci_upper")]])


def proportion():
    n = luck.choice([luck.randint(1, 30), luck.randint(1, 3000)])
    return {"ask": "proportion", "ofThem": luck.randint(0, n), "all": n, "level": luck.choice([0.8, 0.95, 0.99])}


def judge_proportion(q, answer):
    exact = stats.binomtest(q["ofThem"], q["all"]).proportion_ci(q["level"], method="exact")
    return max(abs(answer["low"] - exact.low), abs(answer["high"] - exact.high))


def poisson():
    expected = math.exp(luck.uniform(math.log(0.01), math.log(60)))
    return {"ask": "poisson", "expected": expected, "deaths": max(0, round(luck.gauss(expected, 2 + expected / 2)))}


def survival():
    n = luck.randint(1, 80)
    return {"ask": "survival", "days": [float(luck.randint(1, 60)) for _ in range(n)],
            "died": [luck.random() < 0.6 for _ in range(n)], "level": luck.choice([0.9, 0.95])}


def judge_survival(q, answer):
    curve = KaplanMeierFitter(alpha=1 - q["level"]).fit(q["days"], q["died"])
    days = sorted({day for day, died in zip(q["days"], q["died"]) if died})
    if [step["days"] for step in answer] != days:
        return "other days"
    worst = 0.0
    for step in answer:
        day, alive = step["days"], step["alive"]
        at = curve.confidence_interval_survival_function_.loc[day]
        worst = max(worst, abs(alive["value"] - curve.survival_function_.loc[day].iloc[0]))
        # Where none is left alive the library repeats or breaks its bounds; ours say that nothing is known.
        if step["atRisk"] != step["deaths"]:
            worst = max(worst, abs(alive["low"] - at.iloc[0]), abs(alive["high"] - at.iloc[1]))
    return worst


def place():
    return [luck.uniform(-90, 90), luck.uniform(-180, 180)]


def judge_geodesic(q, answer):
    return abs(answer["metre"] - Geodesic.WGS84.Inverse(*q["from"], *q["to"])["s12"])


def judge_directions(q, answer):
    whole = Geodesic.WGS84.Inverse(*q["from"], *q["to"])
    apart = lambda ours, theirs: abs((ours - theirs + 180) % 360 - 180)  # noqa: E731
    return max(apart(answer["leavesAtDegree"], whole["azi1"]), apart(answer["backAtDegree"], whole["azi2"] + 180))


def judge_coarse(q, answer):
    step = 10.0 ** -q["decimals"]
    latitude, longitude = answer["latitude"], answer["longitude"]
    if abs(latitude - q["at"][0]) > step / 2 * (1 + 1e-9) or abs(longitude - q["at"][1]) > step / 2 * (1 + 1e-9):
        return "not the nearest point of the grid"
    corners = [Geodesic.WGS84.Inverse(latitude, longitude, max(-90, min(90, latitude + i * step / 2)),
                                      longitude + j * step / 2)["s12"] for i in (-1, 1) for j in (-1, 1)]
    return abs(answer["radiusMetre"] - max(corners))


def sun():
    longitude = luck.uniform(-180, 180)
    return {"ask": "sun", "date": str(date(2000, 1, 1) + timedelta(days=luck.randint(0, 14600))),
            "offsetS": round(longitude / 15) * 3600, "at": [luck.uniform(-60, 60), longitude]}


def judge_sun(q, answer):
    here, zone = Observer(*q["at"]), timezone(timedelta(seconds=q["offsetS"]))
    day = date.fromisoformat(q["date"])
    worst = 0.0
    for event, ours in ((sunrise, answer[0]), (sunset, answer[1])):
        # By local date the library misses an event close to midnight UTC, and so it does by UTC date: then
        # the middle between the day before and the day after stands for it, and is counted.
        stamps = []
        for off in (-1, 0, 1):
            try:
                stamps.append(event(here, day + timedelta(days=off), tzinfo=timezone.utc).timestamp())
            except ValueError:
                continue
        theirs = min(stamps, key=lambda stamp: abs(stamp - ours))
        if abs(theirs - ours) > 43200:
            before, after = max(s for s in stamps if s < ours), min(s for s in stamps if s > ours)
            theirs = (before + after) / 2
            missed.append(day)
        worst = max(worst, abs(theirs - ours))
        if datetime.fromtimestamp(ours, zone).date() != day:
            return "another local day"
    return worst


def judge_day(q, answer):
    """Parton and Logan's formula, written down again."""
    y, noon = q["lengthH"], q["noonH"]
    rise, dusk = noon - y / 2, noon + y / 2
    start = rise - 0.17
    bow = lambda t: q["lowC"] + (q["highC"] - q["lowC"]) * math.sin(math.pi * (t - start) / (y + 3.72))
    def at(t):
        if start <= t <= dusk:
            return bow(t)
        since = t - dusk if t > dusk else t + 24 - dusk
        return q["lowC"] + (bow(dusk) - q["lowC"]) * math.exp(-2.2 * since / (24 - y))
    return relative(answer, [at(hour) for hour in q["hours"]])


def day():
    low = luck.uniform(-10, 30)
    return {"ask": "day", "noonH": luck.uniform(11.5, 12.5), "lengthH": luck.uniform(8, 16), "lowC": low,
            "highC": low + luck.uniform(0, 20), "hours": [luck.uniform(0, 24) for _ in range(24)]}


def hours_of_a_year(folder):
    """The curve against hourly normals: its error is reported, and must beat a flat day by far."""
    days = {}
    with open(os.path.join(folder, "weather", "seattle_hourly_normals_1981-2010.csv")) as file:
        for row in csv.DictReader(file):
            stamp = datetime.fromisoformat(row["local_standard_time"])
            days.setdefault(stamp.date(), {})[stamp.hour] = float(row["temp_c"])
    days = {day: hours for day, hours in days.items() if len(hours) == 24}
    place, offset = [47.44, -122.31], -8 * 3600
    suns = ask([{"ask": "sun", "date": str(day), "offsetS": offset, "at": place} for day in days])
    questions = []
    for hours, (rise, dusk) in zip(days.values(), suns):
        clock = lambda stamp: ((stamp + offset) % 86400) / 3600
        questions.append({"ask": "day", "noonH": (clock(rise) + clock(dusk)) / 2, "lengthH": (dusk - rise) / 3600,
                          "lowC": min(hours.values()), "highC": max(hours.values()), "hours": list(range(24))})
    errors, flat = [], []
    for question, answer, hours in zip(questions, ask(questions), days.values()):
        truth = [hours[hour] for hour in range(24)]
        errors += [ours - true for ours, true in zip(answer, truth)]
        middle = (question["lowC"] + question["highC"]) / 2
        flat += [middle - true for true in truth]
    mean = sum(map(abs, errors)) / len(errors)
    plain = sum(map(abs, flat)) / len(flat)
    root = math.sqrt(sum(error * error for error in errors) / len(errors))
    print(f"hours of a year: {len(errors)} hours, mean absolute error {mean:.2f} K, root mean square {root:.2f} K, "
          f"bias {sum(errors) / len(errors):+.2f} K, largest {max(map(abs, errors)):.2f} K; a flat day errs by {plain:.2f} K")
    if not (len(days) > 350 and mean < plain / 2):
        failures.append("hours of a year")


times = range(options.questions)
compare("regression and intervals", [regression(False) for _ in times], judge_regression, 1e-7)
compare("robust regression", [regression(True) for _ in times], judge_regression, 1e-6)
compare("exact binomial interval", [proportion() for _ in times], judge_proportion, 1e-7)
compare("Poisson chance", [poisson() for _ in times],
        lambda q, a: abs(a - stats.poisson.sf(q["deaths"] - 1, q["expected"])), 1e-9)
compare("Kaplan-Meier", [survival() for _ in times], judge_survival, 1e-9)
compare("geodesic", [{"ask": "geodesic", "from": place(), "to": place()} for _ in times], judge_geodesic, 1e-6, " m")
compare("directions", [{"ask": "geodesic", "from": place(), "to": place()} for _ in times], judge_directions, 1e-6,
        " degrees")
compare("coarse places", [{"ask": "coarse", "at": place(), "decimals": luck.randint(0, 3)} for _ in times],
        judge_coarse, 1e-6, " m")
compare("sunrise and sunset", [sun() for _ in times], judge_sun, 60, " s")
print(f"  events that the library misses near midnight UTC: {len(missed)}")
if len(missed) > options.questions / 100:
    failures.append("events missed")
compare("the day's curve, written again", [day() for _ in times], judge_day, 1e-9)
subjects = 8
if os.environ.get("HAULOUT_BENCH_DATA"):
    hours_of_a_year(os.environ["HAULOUT_BENCH_DATA"])
    subjects += 1
else:
    print("hours of a year not run: HAULOUT_BENCH_DATA is not set")
print(f"{subjects - len(failures)} passed, {len(failures)} failed")
sys.exit(bool(failures))
