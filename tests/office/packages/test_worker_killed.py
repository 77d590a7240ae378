"""A worker process killed in the middle of a package build loses nothing; another takes it after the silence."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.db import connection, transaction

from office.actions.build_package import ask_package
from office.queries.scope import Scope
from records.models import JournalHead, Package, Work
from records.verify import first_bad
from tests.records.scene import Scene

ROOT = Path(__file__).resolve().parents[3]
SILENCE_SECONDS = 3
PATIENCE_SECONDS = 120


@pytest.fixture
def start_worker(own_database: str, storage: Path, tmp_path: Path) -> Iterator[Callable[[], subprocess.Popen[bytes]]]:
    """Start `manage.py worker` on this test's database and storage; whatever still runs at the end is stopped."""
    started: list[subprocess.Popen[bytes]] = []

    def start() -> subprocess.Popen[bytes]:
        one = subprocess.Popen(
            [sys.executable, "manage.py", "worker"],
            cwd=ROOT,
            env=_environment(own_database, tmp_path),
            stdout=subprocess.DEVNULL,
            stderr=(tmp_path / f"worker-{len(started)}.log").open("wb"),
        )
        started.append(one)
        return one

    yield start
    for one in started:
        if one.poll() is None:
            one.kill()
        one.wait()


def _environment(database: str, data: Path) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name != "PYTEST_VERSION"}
    given = connection.settings_dict
    door = f"{given['USER']}:{given['PASSWORD']}@{given['HOST']}:{given['PORT'] or 5432}"
    return kept | {
        "DATABASE_URL": f"postgresql://{door}/{database}",
        "DATA_DIR": str(data),
        "WORK_SILENCE_SECONDS": str(SILENCE_SECONDS),
    }


def until(what: Callable[[], Any]) -> None:
    ends = time.monotonic() + PATIENCE_SECONDS
    while not what():
        assert time.monotonic() < ends, "this took too long"
        time.sleep(0.1)


def test_a_worker_killed_while_it_builds_a_package_loses_nothing(
    own_database: str,
    make_scene: Callable[[], Scene],
    start_worker: Callable[[], subprocess.Popen[bytes]],
    storage: Path,
) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("worker processes of their own are for PostgreSQL")
    scene = make_scene()
    before, files = Package.objects.count(), {path.name for path in (storage / "packages").iterdir()}

    def now() -> Work:
        return Work.objects.get(id=work.id)

    with transaction.atomic():
        work = ask_package(Scope(scene.job), job=scene.job, by=scene.engineer)
    with transaction.atomic():
        # Whoever builds the package must wait at its last step, the journal, until this transaction ends.
        JournalHead.objects.select_for_update().get(job=scene.job)
        first = start_worker()
        until(lambda: (storage / f"packages/{work.id.hex}-1.txt").exists())
        time.sleep(0.5)
        os.kill(first.pid, signal.SIGKILL)
        assert first.wait() == -signal.SIGKILL
    assert (now().state, Package.objects.count()) == ("running", before)

    start_worker()
    until(lambda: now().state == "done")
    assert now().tries == 2
    assert Package.objects.count() == before + 1
    kept = {path.name for path in (storage / "packages").iterdir()}
    assert kept - files == {f"{work.id.hex}-2.pdf", f"{work.id.hex}-2.txt"}
    assert first_bad(scene.job) is None


def test_a_worker_told_to_stop_ends_without_complaint(
    own_database: str, start_worker: Callable[[], subprocess.Popen[bytes]], tmp_path: Path
) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("worker processes of their own are for PostgreSQL")
    one = start_worker()
    until(lambda: b"Starting worker" in (tmp_path / "worker-0.log").read_bytes())
    one.terminate()
    assert one.wait(timeout=20) == 0
