#!/usr/bin/env bash
# Run the whole suite on SQLite with the browser, and what touches the database on PostgreSQL too.
set -uo pipefail
cd "$(dirname "$0")/.."
. .ci/services.sh
failed=0
left_out=()
unset DATABASE_URL DEBUG PRODUCTION ALLOWED_HOSTS SECRET_KEY
DATA_DIR=$(mktemp -d)
export DATA_DIR
trap 'rm -rf "$DATA_DIR"' EXIT

find_postgres
find_chromium
export SPOOLBOOK_CHROMIUM=$CHROMIUM
[ -n "$CHROMIUM" ] || left_out+=("the journeys in a browser (tests/journeys): install Chromium, for example apt-get install chromium, or set SPOOLBOOK_CHROMIUM")

if [ -n "$POSTGRES_URL" ]; then
    echo "== PostgreSQL: what touches the database"
    # Whom a page lets in, and what the API's schema says, are the same on either database: the run on SQLite holds them.
    DATABASE_URL=$POSTGRES_URL .venv/bin/python -m pytest -q -n 2 tests --ignore tests/rules --ignore tests/reports \
        --ignore tests/published --ignore tests/journeys --ignore tests/access --ignore tests/test_documents.py \
        --ignore tests/test_layers.py --ignore tests/weldtrack/test_api_schema.py "$@" || failed=1
else
    left_out+=("the second run on PostgreSQL: start one on 127.0.0.1:5432, or set SPOOLBOOK_TEST_POSTGRES to an address whose role may create databases")
fi

without=()
[ -n "$CHROMIUM" ] || without=(--ignore tests/journeys)
echo "== SQLite: everything${CHROMIUM:+, with $CHROMIUM}"
.venv/bin/python -m pytest -q -n 2 tests "${without[@]}" "$@" || failed=1

for what in "${left_out[@]}"; do echo "left out: $what" >&2; done
if [ "${CI:-}" = true ] && [ ${#left_out[@]} -gt 0 ]; then failed=1; fi
exit $failed
