# The reference tests' own Python and Node libraries, in the cache folder. Sourced; sets
# REFERENCE_PYTHON and REFERENCE_NODE (a folder with package.json and node_modules).

reference_cache="${XDG_CACHE_HOME:-$HOME/.cache}/haulout"
reference_folder="$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)"

# Whether a stamp says that these files were installed.
installed() {
    local stamp=$1
    shift
    [ -f "$stamp" ] && cat "$@" | cmp -s - "$stamp"
}

reference_python() {
    local venv="$reference_cache/venv" wanted="$reference_folder/requirements.txt"
    if ! installed "$venv/requirements.installed" "$wanted"; then
        mkdir -p "$reference_cache"
        python3 -m venv --clear "$venv"
        "$venv/bin/python" -m pip install --quiet --disable-pip-version-check --no-deps --requirement "$wanted" >&2
        "$venv/bin/python" -m pip check --disable-pip-version-check >&2
        cp "$wanted" "$venv/requirements.installed"
    fi
    REFERENCE_PYTHON="$venv/bin/python"
}

reference_node() {
    REFERENCE_NODE="$reference_cache/node"
    local stamp="$REFERENCE_NODE/lock.installed"
    if ! installed "$stamp" "$reference_folder/package.json" "$reference_folder/package-lock.json"; then
        mkdir -p "$REFERENCE_NODE"
        cp "$reference_folder/package.json" "$reference_folder/package-lock.json" "$REFERENCE_NODE/"
        (cd "$REFERENCE_NODE" && npm ci --ignore-scripts --no-audit --no-fund --silent >&2)
        cat "$reference_folder/package.json" "$reference_folder/package-lock.json" >"$stamp"
    fi
}
