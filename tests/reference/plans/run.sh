#!/usr/bin/env bash
# Plans are proven best: on random instances every stage equals that of the model written down again and
# solved by CP-SAT, and on published assignment instances the published optimum.
#
#     tests/reference/plans/run.sh PLAN [--seed N] [--instances N]
#
# PLAN is the built example: cargo build -p haulout-placement --example plan. With HAULOUT_FULL=1 there
# are 300 instances, otherwise 60.
set -euo pipefail
plan="$(realpath "${1:?usage: run.sh PLAN [--seed N] [--instances N]}")"
shift
seed=7 instances=60
[ "${HAULOUT_FULL:-0}" = 1 ] && instances=300
while [ $# -gt 0 ]; do
    case "$1" in
        --seed) seed=$2 ;;
        --instances) instances=$2 ;;
        *) echo "usage: run.sh PLAN [--seed N] [--instances N]" >&2; exit 2 ;;
    esac
    shift 2
done
cd "$(dirname "$0")"
. ../environment.sh
reference_python

folder="$(mktemp -d)"
trap 'rm -rf "$folder"' EXIT
export PYTHONDONTWRITEBYTECODE=1

answer=0
"$REFERENCE_PYTHON" generate.py "$folder" "$instances" "$seed"
"$plan" --helps-seconds 0 "$folder"/instance-*.json >"$folder/ours.ndjson"
"$REFERENCE_PYTHON" compare.py "$folder" || answer=1

if [ -n "${HAULOUT_BENCH_DATA:-}" ]; then
    mkdir "$folder/published"
    "$REFERENCE_PYTHON" published.py write "$HAULOUT_BENCH_DATA" "$folder/published"
    "$plan" --helps-seconds 0 "$folder"/published/*-m??.json >"$folder/published/ours.ndjson"
    "$REFERENCE_PYTHON" published.py compare "$folder/published" || answer=1
elif [ "${CI:-}" = true ]; then
    echo "HAULOUT_BENCH_DATA must name the folder of public test data" >&2
    answer=1
else
    echo "published instances not run: HAULOUT_BENCH_DATA is not set"
fi
exit "$answer"
