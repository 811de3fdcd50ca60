#!/usr/bin/env bash
# The schema decides alone: our binary, the Python validator `jsonschema` and the JavaScript validator
# `ajv` judge the same records, with format checks on and off, and must agree on every one.
#
#     tests/reference/verdicts/run.sh HAULOUT [--seed N] [--records N]
set -euo pipefail
haulout="$(realpath "${1:?usage: run.sh HAULOUT [--seed N] [--records N]}")"
shift
cd "$(dirname "$0")"
. ../environment.sh
reference_python
reference_node

folder="$(mktemp -d)"
trap 'rm -rf "$folder"' EXIT
export PYTHONDONTWRITEBYTECODE=1

"$REFERENCE_PYTHON" generate.py "$folder" "$@"
"$REFERENCE_PYTHON" judge_python.py "$folder/records.ndjson" "$folder/python.ndjson" &
python=$!
node judge_ajv.mjs ../../../schemas/published/1.0 "$folder/records.ndjson" "$folder/ajv.ndjson" "$REFERENCE_NODE"
# 1 is the answer "no", which is wanted here; anything else is a failure of the command.
answer=0
"$haulout" check "$folder/records.ndjson" --format json >"$folder/haulout.json" || answer=$?
wait "$python"
if [ "$answer" -gt 1 ]; then
    echo "haulout check could not be done: exit $answer" >&2
    exit 1
fi
"$REFERENCE_PYTHON" compare.py "$folder"
