#!/usr/bin/env bash
# Serve the demo job from nothing; a second call serves what stands.
set -euo pipefail
cd "$(dirname "$0")/.."
manage() { .venv/bin/python manage.py "$@"; }
port=${PORT:-8000}

manage migrate --verbosity 0
manage collectstatic --noinput --verbosity 0
manage load_demo

workers=1
if [[ "${DATABASE_URL:-}" == postgres* ]]; then
    workers=2
    manage worker &
    trap 'kill $(jobs -p) 2>/dev/null' EXIT
fi
echo "Spoolbook is on http://127.0.0.1:$port (Ctrl-C stops it)"
# On SQLite one process with threads: its background work is a thread of the same process.
.venv/bin/gunicorn weldtrack.wsgi --bind "127.0.0.1:$port" --worker-class gthread --workers $workers --threads 8 \
    --log-level warning
