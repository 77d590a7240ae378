#!/usr/bin/env bash
# Everything that can be proven without running the suite; each failing check is named at the end.
set -uo pipefail
cd "$(dirname "$0")/.."
unset DATABASE_URL DEBUG PRODUCTION ALLOWED_HOSTS SECRET_KEY
DATA_DIR=$(mktemp -d)
export DATA_DIR PYTHONPATH=.
trap 'rm -rf "$DATA_DIR"' EXIT

# The checks run side by side, each with a data folder of its own, and are told in their order.
names=()
try() {
    local place=${#names[@]}
    names+=("$1")
    shift
    { DATA_DIR=$DATA_DIR/$place "$@" >"$DATA_DIR/said.$place" 2>&1; echo $? >"$DATA_DIR/end.$place"; } &
}

triggers() {
    .venv/bin/python manage.py migrate --verbosity 0 && .venv/bin/python manage.py check_triggers
}

deployment() {
    PRODUCTION=1 PROXIES=1 ALLOWED_HOSTS=spoolbook.example CSRF_TRUSTED_ORIGINS=https://spoolbook.example \
        SECRET_KEY=$(.venv/bin/python -c 'import secrets; print(secrets.token_urlsafe(64))') \
        .venv/bin/python manage.py check --deploy --fail-level WARNING
}

try "linter" .venv/bin/ruff check .
try "format" .venv/bin/ruff format --check .
try "types" .venv/bin/mypy
try "import order" .venv/bin/lint-imports
try "migrations" .venv/bin/python manage.py makemigrations --check --dry-run
try "triggers" triggers
try "deployment" deployment

wait

failed=()
for place in "${!names[@]}"; do
    echo "== ${names[$place]}"
    cat "$DATA_DIR/said.$place"
    [ "$(cat "$DATA_DIR/end.$place")" = 0 ] || failed+=("${names[$place]}")
done
if [ ${#failed[@]} -gt 0 ]; then
    printf 'failed: %s\n' "${failed[@]}" >&2
    exit 1
fi
echo "all checks hold"
