# shellcheck shell=bash
# A throw-away PostgreSQL cluster, to be sourced by bash scripts.
#
#   postgres_find          sets postgres_bin to the folder of initdb and pg_ctl; fails if there is none
#   postgres_start FOLDER  makes a cluster in the new folder FOLDER and starts it; sets postgres_url
#   postgres_stop          stops what postgres_start started; harmless otherwise
#
# The cluster listens on 127.0.0.1 and on a socket in its own folder, trusts whoever connects, and gives up all safety
# against a crash for speed. A system's own cluster is neither used nor touched.

postgres_bin=
postgres_url=
postgres_folder=
postgres_user=

postgres_find() {
    local candidate found
    postgres_bin=
    if found=$(command -v initdb) && [[ -x ${found%/*}/pg_ctl ]]; then
        postgres_bin=${found%/*}
        return
    fi
    # Debian keeps the server's programs out of PATH, one folder a version: the newest is taken.
    while read -r candidate; do
        [[ -x $candidate/initdb && -x $candidate/pg_ctl ]] && postgres_bin=$candidate
    done < <(printf '%s\n' /usr/lib/postgresql/*/bin | sort --version-sort)
    [[ -n $postgres_bin ]]
}

# PostgreSQL refuses to run as root, so that root hands over to an unprivileged user. Its programs want a working folder
# that they may read.
_postgres_as_owner() {
    (
        cd "$postgres_folder" || exit
        export LC_ALL=C
        if [[ -n $postgres_user ]]; then
            exec runuser -u "$postgres_user" -- "$@"
        else
            exec "$@"
        fi
    )
}

_postgres_free_port() {
    python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])'
}

postgres_start() {
    local attempt port
    postgres_folder=$1
    mkdir -m 0700 "$postgres_folder" || return
    if ((EUID == 0)); then
        postgres_user=postgres
        getent passwd "$postgres_user" >/dev/null || postgres_user=nobody
        chown "$postgres_user" "$postgres_folder" || return
    fi

    _postgres_as_owner "$postgres_bin/initdb" --pgdata=data --username=postgres --auth=trust \
        --encoding=UTF8 --locale=C --no-sync >"$postgres_folder/initdb.log" 2>&1 || {
        cat "$postgres_folder/initdb.log" >&2
        return 1
    }

    # Between finding a free port and taking it another program may come first: hence more than one attempt.
    for attempt in 1 2 3 4 5; do
        port=$(_postgres_free_port)
        cat >"$postgres_folder/data/postgresql.auto.conf" <<END
listen_addresses = '127.0.0.1'
port = $port
unix_socket_directories = '$postgres_folder'
max_connections = 200
fsync = off
synchronous_commit = off
full_page_writes = off
wal_level = minimal
max_wal_senders = 0
jit = off
timezone = 'UTC'
END
        if _postgres_as_owner "$postgres_bin/pg_ctl" start --pgdata=data --log=server.log --wait --timeout=60 \
            >"$postgres_folder/start.log" 2>&1; then
            # For whoever sources this file.
            # shellcheck disable=SC2034
            postgres_url="postgres://postgres@127.0.0.1:$port/postgres"
            return
        fi
        echo "PostgreSQL did not start on port $port (attempt $attempt of 5)" >&2
    done
    cat "$postgres_folder/start.log" "$postgres_folder/server.log" >&2
    return 1
}

postgres_stop() {
    local pid
    [[ -n $postgres_folder && -f $postgres_folder/data/postmaster.pid ]] || return 0
    pid=$(head -n 1 "$postgres_folder/data/postmaster.pid")
    _postgres_as_owner "$postgres_bin/pg_ctl" stop --pgdata=data --mode=immediate --wait --timeout=20 >/dev/null 2>&1 ||
        kill -KILL "$pid" 2>/dev/null || true
}
