# A throw-away PostgreSQL for one test run. Sourced by tests/run; sets HAULOUT_TEST_POSTGRES.

start_postgres() {
    [ -n "${HAULOUT_TEST_POSTGRES:-}" ] && return
    local programs port
    programs=$(ls -d /usr/lib/postgresql/*/bin | sort -V | tail -1)
    POSTGRES_FOLDER=$(mktemp -d)
    port=$(python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])')
    # The server refuses to run as root, and its folder must be its own.
    AS_POSTGRES=""
    if [ "$(id -u)" = 0 ]; then
        chown postgres "$POSTGRES_FOLDER"
        AS_POSTGRES="runuser -u postgres --"
    fi
    POSTGRES_CONTROL="$programs/pg_ctl"
    (
        cd "$POSTGRES_FOLDER"
        $AS_POSTGRES "$programs/initdb" -D "$POSTGRES_FOLDER/data" -U postgres -A trust --no-sync --no-instructions \
            -E UTF8 --locale=C.UTF-8 >/dev/null
        $AS_POSTGRES "$POSTGRES_CONTROL" -D "$POSTGRES_FOLDER/data" -w -l "$POSTGRES_FOLDER/log" -o \
            "-c listen_addresses=127.0.0.1 -c port=$port -c unix_socket_directories=$POSTGRES_FOLDER -c fsync=off -c full_page_writes=off -c max_connections=200" \
            start >/dev/null
    )
    export HAULOUT_TEST_POSTGRES="postgres://postgres@127.0.0.1:$port/postgres"
    trap stop_postgres EXIT
}

stop_postgres() {
    (cd "$POSTGRES_FOLDER" && $AS_POSTGRES "$POSTGRES_CONTROL" -D "$POSTGRES_FOLDER/data" -m immediate -w stop >/dev/null) || true
    rm -rf "$POSTGRES_FOLDER"
}
