#!/usr/bin/env bash
# The statement counted again: basins, invented records and the demonstration's story are posted to a hub in
# the order of time, and every figure of its statements is held against a recount in another language, from
# the records alone, as known at several instants.
#
#     tests/reference/recount/run.sh HAULOUT [--seed N] [--basins N] [--invented N] [--nights N]
#
# HAULOUT is the built binary. Where HAULOUT_TEST_POSTGRES names a server, every other set of invented records
# is kept there. With HAULOUT_FULL=1 there are four basins and twelve sets, otherwise one and two. The seed is
# another each time, and printed.
set -euo pipefail
haulout="$(realpath "${1:?usage: run.sh HAULOUT [--seed N] [--basins N] [--invented N] [--nights N]}")"
shift
cd "$(dirname "$0")"
. ../environment.sh
reference_python

folder="$(mktemp -d)"
trap 'rm -rf "$folder"' EXIT
export PYTHONDONTWRITEBYTECODE=1

size=(--basins 1 --invented 2)
[ "${HAULOUT_FULL:-0}" = 1 ] && size=(--basins 4 --invented 12)
"$REFERENCE_PYTHON" compare.py "$haulout" "$folder" "${size[@]}" "$@"
