#!/usr/bin/env bash
# The welfare figures against independent libraries: 1,000 random questions a subject.
#
#     tests/reference/welfare/run.sh ANSWERS [--seed N] [--questions N]
#
# ANSWERS is the built example: cargo build -p haulout-welfare --example answers.
set -euo pipefail
answers="$(realpath "${1:?usage: run.sh ANSWERS [--seed N] [--questions N]}")"
shift
cd "$(dirname "$0")"
. ../environment.sh
reference_python

export PYTHONDONTWRITEBYTECODE=1
if [ -z "${HAULOUT_BENCH_DATA:-}" ] && [ "${CI:-}" = true ]; then
    echo "HAULOUT_BENCH_DATA must name the folder of public test data" >&2
    exit 1
fi
"$REFERENCE_PYTHON" compare.py "$answers" "$@"
