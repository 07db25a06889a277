# Set-up shared by projects/run, tests/run and .ci/run, which source it and call set_up.
# Afterwards $VENV holds a virtual environment with the locked packages and this checkout.
# SANDSLEEVE_VENV names another folder for it than .venv.
# shellcheck shell=bash

TOP=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
VENV=${SANDSLEEVE_VENV:-$TOP/.venv}
LOCK=$TOP/.ci/requirements.lock
LIBRARIES="libpango-1.0.so.0:libpango-1.0-0 libpangoft2-1.0.so.0:libpangoft2-1.0-0 libharfbuzz-subset.so.0:libharfbuzz-subset0"

say() { printf '%s\n' "sandsleeve: $*"; }
stop() { printf '%s\n' "sandsleeve: $*" >&2; exit 5; }

# Print the first Python from 3.11 on which can make virtual environments; nothing if there is none.
# Its base, if an environment is active: that one may be the very environment to be made.
find_python() {
  local name
  for name in python3 python3.13 python3.12 python3.11; do
    "$name" - 2>/dev/null <<'PYTHON' && return
import os, sys, venv, ensurepip
if sys.version_info < (3, 11):
    sys.exit(1)
print(os.path.realpath(sys._base_executable))
PYTHON
  done
  return 0
}

# Print the Debian packages that are still missing.
missing_packages() {
  local known pair
  [ -n "$(find_python)" ] || printf '%s ' python3 python3-venv
  known=$(PATH=$PATH:/usr/sbin:/sbin ldconfig -p 2>/dev/null || true)
  for pair in $LIBRARIES; do
    [[ $known == *"${pair%%:*}"* ]] || printf '%s ' "${pair##*:}"
  done
}

install_packages() {
  local packages=$1 root=()
  [ -n "$packages" ] || return 0
  local line="apt-get install $packages"
  command -v apt-get >/dev/null || stop "these Debian packages or their like are missing: $packages"
  if [ "$(id -u)" != 0 ]; then
    sudo -n true 2>/dev/null || stop "system packages are missing; run as root: $line"
    root=(sudo -n)
  fi
  say "installing system packages: $packages"
  "${root[@]}" apt-get update -qq || say "apt-get update failed; going on with the lists at hand"
  # shellcheck disable=SC2086  # a list of packages
  "${root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq -o Dpkg::Use-Pty=0 --no-install-recommends $packages </dev/null >/dev/null ||
    stop "could not install system packages; run as root: $line"
}

# The tests of the review page need a browser; where it cannot be had they are skipped and say so.
install_browser() {
  command -v chromium >/dev/null || command -v chromium-browser >/dev/null || (install_packages "chromium fonts-dejavu-core") ||
    say "going on without a browser: tests of the review page are skipped"
}

# What the environment was made from; another place, Python, lock or metadata asks for it anew, a setting of a tool does not.
fingerprint() {
  printf '%s\n' "$TOP" "$VENV" "$1"
  { cat "$LOCK"; sed '/^\[tool\.ruff\]/,$d' "$TOP/pyproject.toml"; } | sha256sum
}

make_environment() {
  local python wanted pip
  python=$(find_python)
  [ -n "$python" ] || stop "Python 3.11 or newer with its venv module is needed (found: $(python3 --version 2>&1 || true))"
  wanted=$(fingerprint "$python $("$python" --version)")
  if [ -x "$VENV/bin/python" ] && [ "$(cat "$VENV/.ready" 2>/dev/null)" = "$wanted" ]; then return; fi
  say "making the virtual environment $VENV"
  # An environment whose making was broken off has no mark, and nothing in it can be relied upon.
  "$python" -m venv --clear "$VENV" || stop "could not make a virtual environment in $VENV"
  pip=("$VENV/bin/python" -m pip install -qq --disable-pip-version-check --no-input --no-deps)
  "${pip[@]}" --require-hashes --only-binary :all: -r "$LOCK" || stop "could not install the packages of $LOCK"
  "${pip[@]}" --no-index --no-build-isolation -e "$TOP" || stop "could not install this checkout"
  "$VENV/bin/python" -m pip check >/dev/null || stop "the lock does not fit pyproject.toml: run .ci/lock"
  printf '%s\n' "$wanted" >"$VENV/.ready"
}

set_up() {
  install_packages "$(missing_packages)"
  mkdir -p "$(dirname "$VENV")"
  # Two runs at once make it once. The lock file is closed again so that nothing started later holds it.
  exec 9>"$VENV.lock"
  flock 9
  make_environment
  exec 9>&-
}
