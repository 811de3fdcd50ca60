"""Record linkage: Haulout's figures beside those of `recordlinkage`, and beside the truth.

The public data (Febrl 1) holds 500 true pairs among 1,000 records; the truth stands in the record's
identifier. Both sides get the same pairs, blocked by the first letters of surname or by postcode.
"""

import csv
import json
import math
import os
import random
import subprocess
import sys

import numpy
import pandas
import recordlinkage
from recordlinkage.compare import Numeric

FIELDS = ["given_name", "surname", "address_1", "suburb", "date_of_birth", "soc_sec_id"]
THRESHOLD = 0.85
passed = failed = 0


def check(name, good, told=""):
    global passed, failed
    if good:
        passed += 1
    else:
        failed += 1
        print(f"FAILED {name}: {told}")


def ask(binary, question):
    done = subprocess.run([binary], input=json.dumps(question), capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


def records(folder):
    with open(os.path.join(folder, "record-linkage", "febrl1.csv"), newline="") as file:
        rows = [{key.strip(): value.strip() for key, value in row.items()} for row in csv.DictReader(file)]
    return pandas.DataFrame(rows).set_index("rec_id")


def blocked(frame):
    pairs = set()
    for block in (frame["surname"].str[:3], frame["postcode"]):
        for _, group in frame[block != ""].groupby(block[block != ""]):
            names = sorted(group.index)
            pairs.update((one, other) for at, one in enumerate(names) for other in names[at + 1 :])
    return pandas.MultiIndex.from_tuples(sorted(pairs), names=["one", "other"])


def same(pair):
    return pair[0].split("-")[1] == pair[1].split("-")[1]


def main():
    binary, folder = sys.argv[1], os.environ["HAULOUT_BENCH_DATA"]
    frame = records(folder)
    pairs = blocked(frame)
    texts = [[[frame.at[one, f], frame.at[other, f]] for f in FIELDS] for one, other in pairs]
    rng = random.Random(1969)
    numbers = [[rng.uniform(-9, 9), rng.uniform(-9, 9), rng.choice([0.0, 0.5, 2.0]), rng.uniform(0.1, 5)] for _ in range(1000)]
    question = {"threshold": THRESHOLD, "tolerance": 1e-13, "steps": 100000, "texts": texts, "numbers": numbers}
    ours = ask(binary, question)
    check("the estimate settled", ours["settled"])

    # Texts, one by one.
    blank = frame.replace("", None)
    for at, field in enumerate(FIELDS):
        compare = recordlinkage.Compare()
        compare.string(field, field, method="jarowinkler", label=field)
        theirs = compare.compute(pairs, blank)[field].to_numpy()
        apart = numpy.max(numpy.abs(theirs - numpy.array([row[at] for row in ours["similarities"]])))
        check(f"similarity of {field}", apart < 1e-9, f"{apart} apart")

    # Numbers.
    for at, (one, other, offset, scale) in enumerate(numbers):
        left, right = pandas.DataFrame({"x": [one]}), pandas.DataFrame({"x": [other]})
        index = pandas.MultiIndex.from_tuples([(0, 0)])
        if at < 100:
            theirs = Numeric("x", "x", method="linear", offset=offset, scale=scale).compute(index, left, right).iloc[0]
        else:
            theirs = 1 - (min(max(abs(one - other), offset), offset + 2 * scale) - offset) / (2 * scale)
        check(f"number {at}", abs(theirs - ours["numbers"][at]) < 1e-9, f"{theirs} and {ours['numbers'][at]}")

    # m, u and the weights of every pair.
    binary_vectors = pandas.DataFrame(
        numpy.array(ours["similarities"]) >= THRESHOLD, index=pairs, columns=FIELDS
    ).astype(int)
    ecm = recordlinkage.ECMClassifier(init="jaro", max_iter=100000, atol=1e-13)
    ecm.fit(binary_vectors)
    for at, field in enumerate(FIELDS):
        for which, theirs in (("m", ecm.m_probs[field][1]), ("u", ecm.u_probs[field][1])):
            mine = ours["fields"][at][which]
            check(f"{which} of {field}", abs(mine - theirs) < 1e-6, f"{mine} and {theirs}")
    check("share of matches", abs(ours["share"] - ecm.p) < 1e-6, f"{ours['share']} and {ecm.p}")
    theirs = sum(
        numpy.where(
            binary_vectors[f] == 1,
            math.log2(ecm.m_probs[f][1] / ecm.u_probs[f][1]),
            math.log2(ecm.m_probs[f][0] / ecm.u_probs[f][0]),
        )
        for f in FIELDS
    )
    apart = numpy.max(numpy.abs(theirs - numpy.array(ours["weights"])))
    check("pair weights", apart < 1e-3, f"{apart} bits apart")

    # Which pairs are called the same.
    mine = {pair for pair, p in zip(pairs, ours["probabilities"]) if p > 0.5}
    check("the same pairs", mine == set(ecm.predict(binary_vectors)))
    truth, true = 500, sum(map(same, mine))
    precision, recall, reach = true / len(mine), true / truth, sum(map(same, pairs)) / truth
    check("precision on the public data", precision >= 0.95, precision)
    check("recall on the public data", recall >= 0.9 * reach, recall)
    print(f"{len(pairs)} pairs compared; blocking reaches {reach:.3f} of 500; precision {precision:.4f}, recall {recall:.4f}")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


sys.exit(main())
