#!/usr/bin/env bash
# A statement's formats hold the same figures: JSON, CSV and its metadata, HTML, XLSX and PDF are read
# by independent libraries and held against each other.
#
#     tests/reference/documents/run.sh HAULOUT DOCUMENTS
#
# HAULOUT is the built binary; DOCUMENTS the built example: cargo build --workspace --examples
set -euo pipefail
haulout="$(realpath "${1:?usage: run.sh HAULOUT DOCUMENTS}")"
documents="$(realpath "${2:?usage: run.sh HAULOUT DOCUMENTS}")"
cd "$(dirname "$0")"
. ../environment.sh
reference_python

folder="$(mktemp -d)"
trap 'rm -rf "$folder"' EXIT
export PYTHONDONTWRITEBYTECODE=1
"$REFERENCE_PYTHON" compare.py "$haulout" "$documents" "$folder"
