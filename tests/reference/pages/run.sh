#!/usr/bin/env bash
# The handling card and the driver's page are one A4 page each, printed by Chromium, which is installed where
# it is missing: cards of seven kinds of animal, pages of one, three and five species.
#
#     tests/reference/pages/run.sh HAULOUT [--keep FOLDER]
#
# HAULOUT is the built binary. With --keep the pages stay in FOLDER, to be looked at.
set -euo pipefail
haulout="$(realpath "${1:?usage: run.sh HAULOUT [--keep FOLDER]}")"
shift
cd "$(dirname "$0")"
. ../../machine.sh
command -v chromium >/dev/null || packages "printing the pages" chromium

folder="$(mktemp -d)"
trap 'rm -rf "$folder"' EXIT
[ "${1:-}" = --keep ] && kept="$(realpath -m "${2:?--keep names a folder}")" || kept="$folder/pages"
mkdir -p "$kept"
export PYTHONDONTWRITEBYTECODE=1
python3 print.py "$haulout" "$folder" "$kept"
