#!/usr/bin/env bash
# Make .venv from requirements.lock, once per content of the lock.
set -euo pipefail
cd "$(dirname "$0")/.."
export UV_PYTHON_DOWNLOADS=never PIP_DISABLE_PIP_VERSION_CHECK=1

new_enough() { "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; }

find_python() {
    local name
    for name in ${PYTHON:-} python3.11 python3.12 python3.13 python3.14 python3 python; do
        if command -v "$name" >/dev/null && new_enough "$name"; then echo "$name"; return; fi
    done
    echo "Spoolbook needs Python 3.11 or newer, and none was found; install one, or name it: make PYTHON=/path/to/python3" >&2
    return 1
}

make_venv() {
    "$1" -m venv .venv >/dev/null 2>&1 && return
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
        apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get -o DPkg::Lock::Timeout=300 install -y -qq "python$("$1" -c 'import sys; print("%d.%d" % sys.version_info[:2])')-venv" >/dev/null
        "$1" -m venv .venv && return
    fi
    echo "Python can't make an environment; on Debian and Ubuntu: apt-get install python3-venv" >&2
    return 1
}

install_lock() {
    if .venv/bin/python -m pip install --quiet uv && .venv/bin/uv pip sync --quiet --compile-bytecode --python .venv/bin/python requirements.lock; then return; fi
    echo "uv could not be used; installing with pip instead" >&2
    .venv/bin/python -m pip install --quiet --require-hashes -r requirements.lock
}

python=$(find_python)
wanted=$("$python" -c 'import hashlib; print(hashlib.sha256(open("requirements.lock", "rb").read()).hexdigest())')
if [ -x .venv/bin/python ] && [ "$(cat .venv/.lock 2>/dev/null)" = "$wanted" ]; then exit 0; fi
echo "making .venv with $("$python" --version)" >&2
[ -x .venv/bin/python ] && new_enough .venv/bin/python || { rm -rf .venv; make_venv "$python"; }
install_lock
echo "$wanted" > .venv/.lock
