# One image for the web processes and the workers; it runs as an ordinary user and holds no secret.
FROM python:3.11-slim-bookworm AS environment
ENV PIP_DISABLE_PIP_VERSION_CHECK=1 PIP_NO_CACHE_DIR=1
WORKDIR /srv/spoolbook
COPY pyproject.toml requirements.lock ./
# The lock holds the tests' packages too: only what the site itself asks for is installed, with the lock's hashes.
RUN python -m venv /srv/tools && /srv/tools/bin/pip install --quiet uv && python -m venv --without-pip /srv/venv \
    && /srv/tools/bin/uv pip compile --quiet --generate-hashes --no-header --no-annotate --python-version 3.11 \
        --extra ifc --constraint requirements.lock --output-file /tmp/runtime.lock pyproject.toml \
    && /srv/tools/bin/uv pip sync --quiet --compile-bytecode --require-hashes --python /srv/venv/bin/python /tmp/runtime.lock

FROM python:3.11-slim-bookworm
ENV PATH=/srv/venv/bin:$PATH PYTHONUNBUFFERED=1 DATA_DIR=/var/lib/spoolbook WEB_CONCURRENCY=2
RUN useradd --system --uid 10001 --home-dir /var/lib/spoolbook --create-home spoolbook
WORKDIR /srv/spoolbook
COPY --from=environment /srv/venv /srv/venv
COPY . .
# Compiled here, since the site's own user may write nothing beside the code: each start is a second sooner.
RUN python -m compileall -q . && DATA_DIR=/tmp/build python manage.py collectstatic --noinput --verbosity 0 && rm -rf /tmp/build
USER spoolbook
VOLUME /var/lib/spoolbook
EXPOSE 8000
HEALTHCHECK --interval=15s --timeout=5s --start-period=30s \
    CMD ["python", "-m", "weldtrack.ask_health"]
CMD ["gunicorn", "weldtrack.wsgi", "--bind", "0.0.0.0:8000", "--worker-class", "gthread", "--threads", "4", "--worker-tmp-dir", "/dev/shm"]
