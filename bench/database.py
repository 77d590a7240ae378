"""A PostgreSQL database of the benchmarks' own, made before Django starts and dropped afterwards."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from urllib.parse import urlsplit

import psycopg
from psycopg import sql

GUESSES = ("postgresql://postgres@127.0.0.1:5432/postgres", "postgresql://root@127.0.0.1:5432/postgres")


class NoServer(Exception):
    """No PostgreSQL answers; the message says what to do."""


@contextmanager
def own_database() -> Iterator[str]:
    """Make a database, point DATABASE_URL and DATA_DIR of this process and its children at it; yield its address."""
    server = _server()
    name = f"spoolbook_bench_{os.getpid()}"
    _run(server, sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
    with tempfile.TemporaryDirectory(prefix="spoolbook-bench-") as folder:
        url = urlsplit(server)._replace(path=f"/{name}").geturl()
        os.environ.update(DATABASE_URL=url, DATA_DIR=folder, STATIC_ROOT=f"{folder}/static", LOG_LEVEL="WARNING")
        try:
            yield url
        finally:
            _run(server, sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name)))


def _server() -> str:
    named = os.environ.get("DATABASE_URL", "")
    tried = (named,) if named.startswith("postgres") else GUESSES
    for url in tried:
        try:
            with psycopg.connect(url, connect_timeout=3):
                return url
        except psycopg.OperationalError:
            continue
    raise NoServer(
        "No PostgreSQL answers; start one on 127.0.0.1:5432, or set DATABASE_URL to one that may create databases."
    )


def _run(server: str, command: sql.Composed) -> None:
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute(command)
