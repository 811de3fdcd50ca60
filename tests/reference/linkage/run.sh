#!/usr/bin/env bash
# Comparison of texts and numbers, and the estimate of m and u, against the `recordlinkage` package on
# public data with known pairs.
#
#     tests/reference/linkage/run.sh LINKAGE
#
# LINKAGE is the built example: cargo build -p haulout-reckoning --example linkage.
set -euo pipefail
linkage="$(realpath "${1:?usage: run.sh LINKAGE}")"
cd "$(dirname "$0")"
if [ -z "${HAULOUT_BENCH_DATA:-}" ]; then
    if [ "${CI:-}" = true ]; then
        echo "HAULOUT_BENCH_DATA must name the folder of public test data" >&2
        exit 1
    fi
    echo "not run: HAULOUT_BENCH_DATA does not name the folder of public test data"
    exit 0
fi
. ../environment.sh
reference_python

export PYTHONDONTWRITEBYTECODE=1
"$REFERENCE_PYTHON" compare.py "$linkage"
