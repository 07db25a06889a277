# A temporary PostgreSQL for the tests: start_server makes one on loopback at a free port and names it in
# SANDSLEEVE_TEST_SERVER, stop_server takes it away again. To be sourced after setup.sh.
# shellcheck shell=bash

# Print the folder with the programs of the newest PostgreSQL server; nothing if there is none.
find_server() {
  local folder newest=
  for folder in /usr/lib/postgresql/*/bin; do
    [ ! -x "$folder/initdb" ] || newest=$folder
  done
  printf '%s' "$newest"
}

# Debian makes and starts a cluster of its own with the package unless it is told not to.
install_server() {
  if [ "$(id -u)" = 0 ] && [ ! -e /etc/postgresql-common/createcluster.conf ]; then
    mkdir -p /etc/postgresql-common
    printf 'create_main_cluster = false\n' >/etc/postgresql-common/createcluster.conf
  fi
  install_packages "postgresql"
}

# The server refuses to run as root: then it runs as the user of the package, or as nobody.
as_server() {
  if [ "$(id -u)" != 0 ]; then
    "$@"
  elif id postgres >/dev/null 2>&1; then
    runuser -u postgres -- "$@"
  else
    runuser -u nobody -- "$@"
  fi
}

start_server() {
  local port user
  SERVER_BIN=$(find_server)
  [ -n "$SERVER_BIN" ] || install_server
  SERVER_BIN=$(find_server)
  [ -n "$SERVER_BIN" ] || stop "PostgreSQL was installed, but /usr/lib/postgresql has no server"
  SERVER_ROOM=$(mktemp -d)
  trap stop_server EXIT
  PGPASSWORD=$(head -c 18 /dev/urandom | base64)
  export PGPASSWORD
  printf '%s\n' "$PGPASSWORD" >"$SERVER_ROOM/password"
  if [ "$(id -u)" = 0 ]; then
    user=$(id -u postgres 2>/dev/null || id -u nobody)
    chown -R "$user" "$SERVER_ROOM"
  fi
  port=$("$VENV/bin/python" -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])')
  as_server "$SERVER_BIN/initdb" -D "$SERVER_ROOM/data" -U archive -A scram-sha-256 --pwfile "$SERVER_ROOM/password" \
    -E UTF8 --locale C.UTF-8 >/dev/null
  # Nothing in it outlives the tests, so that nothing has to reach the disk.
  as_server "$SERVER_BIN/pg_ctl" -D "$SERVER_ROOM/data" -l "$SERVER_ROOM/log" -w -s start \
    -o "-p $port -c listen_addresses=127.0.0.1 -c unix_socket_directories= -c fsync=off" ||
    { cat "$SERVER_ROOM/log" >&2; stop "PostgreSQL did not start"; }
  export SANDSLEEVE_TEST_SERVER="postgresql://archive@127.0.0.1:$port/postgres"
  say "PostgreSQL at 127.0.0.1:$port"
}

stop_server() {
  [ -n "${SERVER_ROOM:-}" ] || return 0
  as_server "$SERVER_BIN/pg_ctl" -D "$SERVER_ROOM/data" -m immediate -s stop 2>/dev/null || true
  rm -rf "$SERVER_ROOM"
}
