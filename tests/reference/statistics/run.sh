#!/usr/bin/env bash
# Exact binomial intervals equal those of scipy, on published values and on random pairs.
#
#     tests/reference/statistics/run.sh INTERVALS [--seed N] [--pairs N]
#
# INTERVALS is the built example: cargo build -p haulout-reckoning --example intervals. It reads lines {"x", "n"}
# and answers each by {"x", "n", "low", "high"}.
set -euo pipefail
intervals="${1:?usage: run.sh INTERVALS [--seed N] [--pairs N]}"
shift
cd "$(dirname "$0")"
. ../environment.sh
reference_python
PYTHONDONTWRITEBYTECODE=1 "$REFERENCE_PYTHON" intervals.py "$(realpath "$intervals")" "$@"
