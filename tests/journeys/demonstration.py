"""Sites with the demonstration in them, each in a process of its own."""

import atexit
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
LAST_WORDS = 4_000
# Root may not use the sandbox; a container's /dev/shm is often too small.
BROWSER_FLAGS = ["--no-sandbox", "--disable-dev-shm-usage"]


def browser_path() -> str | None:
    """Where Chromium stands, if anywhere."""
    named = [os.environ.get("SPOOLBOOK_CHROMIUM", ""), *BROWSERS]
    return next((found for name in named if name and (found := shutil.which(name))), None)


def prepare(folder: Path) -> None:
    """Import the demonstration into a folder, and collect its static files there."""
    (folder / "data").mkdir(parents=True, exist_ok=True)
    ran = subprocess.run(_command("prepare"), cwd=ROOT, env=_environment(folder), capture_output=True, text=True)
    assert ran.returncode == 0, ran.stderr


@contextmanager
def served(prepared: Path, folder: Path) -> Iterator[str]:
    """Serve a copy, made in `folder`, of what was prepared; yields its address and ends the process afterwards.

    Raises AssertionError where the site does not answer, or wrote a traceback
    """
    shutil.copytree(prepared / "data", folder / "data")
    port = _free_port()
    server = _started(prepared, folder, port)
    try:
        _wait_for(address := f"http://127.0.0.1:{port}", server)
        yield address
    finally:
        os.kill(server, signal.SIGTERM)
        _wait_for_the_end(server)
    assert "Traceback" not in (told := (folder / "server.log").read_text()), told[-LAST_WORDS:]


@cache
def _loaded(prepared: Path) -> subprocess.Popen[str]:
    """The process that starts the sites; it ends as soon as nobody can write to it any more."""
    begun = subprocess.Popen(
        _command("serve"),
        cwd=ROOT,
        env=_environment(prepared),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    atexit.register(begun.communicate)
    return begun


def _started(prepared: Path, folder: Path, port: int) -> int:
    """Start a site; returns the id of its process."""
    parent = _loaded(prepared)
    assert parent.stdin and parent.stdout
    parent.stdin.write(f"{folder} {port}\n")
    parent.stdin.flush()
    return int(parent.stdout.readline())


def _is_there(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


def _command(*words: str) -> list[str]:
    return [sys.executable, "-m", "tests.journeys.that_day", *words]


def _environment(folder: Path) -> dict[str, str]:
    """What a site in this folder reads: nothing that the settings of the tests say."""
    foreign = ("PYTEST_VERSION", "DATABASE_URL", "DEBUG", "PRODUCTION", "ALLOWED_HOSTS", "SECRET_KEY")
    kept = {name: value for name, value in os.environ.items() if name not in foreign}
    return kept | {
        "DATA_DIR": str(folder / "data"),
        "STATIC_ROOT": str(folder / "static"),
        "DJANGO_SETTINGS_MODULE": "weldtrack.settings",
        "LOG_LEVEL": "ERROR",
    }


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def _wait_for(address: str, server: int) -> None:
    for _ in range(6_000):
        assert _is_there(server), "the site ended before it answered"
        try:
            urllib.request.urlopen(f"{address}/healthz", timeout=5).close()
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.01)
        else:
            return
    raise AssertionError("the site did not answer within a minute")


def _wait_for_the_end(server: int) -> None:
    for _ in range(3_000):
        if not _is_there(server):
            return
        time.sleep(0.01)
    raise AssertionError("the site did not end within half a minute")
