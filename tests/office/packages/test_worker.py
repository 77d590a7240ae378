"""The worker: what was asked is done once, whatever happens to the process that does it."""

import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from django.utils import timezone

from office import worker
from office.actions.build_package import ask_package
from office.queries.scope import Scope
from office.worker import run_work, sweep
from records import work as works
from records.models import Joint, Package, Work
from records.refusals import Implausible
from records.verify import first_bad
from tests.records.scene import Scene

pytestmark = pytest.mark.usefixtures("own_database")


@pytest.fixture(autouse=True)
def nobody_else(settings: Any) -> None:
    """No thread starts by itself: each test says who takes the work."""
    settings.WORK_THREAD = "tests.office.packages.test_worker.leave_it"


def leave_it(work_id: UUID) -> None:
    """An engine that delivers nothing."""


@pytest.fixture
def scene(make_scene: Callable[[], Scene]) -> Scene:
    return make_scene()


def asked(scene: Scene) -> Work:
    return ask_package(Scope(scene.job), job=scene.job, by=scene.engineer)


def test_does_what_was_asked_and_says_so_on_the_row(scene: Scene) -> None:
    work = asked(scene)
    run_work(work.id)
    work.refresh_from_db()
    assert (work.state, work.error, work.tries) == ("done", "", 1)
    assert work.result["package"] == str(work.id)
    assert "Taken up, try 1." in work.log and "Drawing Weld log" in work.log
    assert work.ended_at is not None
    assert first_bad(scene.job) is None


def test_does_the_same_work_once_however_often_it_is_told(scene: Scene) -> None:
    work = asked(scene)
    before = Package.objects.count()
    run_work(work.id)
    run_work(work.id)
    assert Package.objects.count() == before + 1


def test_gives_work_to_one_of_many_workers(scene: Scene) -> None:
    work = asked(scene)

    def take(_: int) -> bool:
        try:
            return works.take(work.id) is not None
        finally:
            connection.close()

    with ThreadPoolExecutor(8) as workers:
        assert sorted(workers.map(take, range(8))) == [False] * 7 + [True]


def test_builds_one_package_where_two_workers_meet(scene: Scene) -> None:
    work = asked(scene)
    before = Package.objects.count()

    def run(_: int) -> None:
        try:
            run_work(work.id)
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as workers:
        list(workers.map(run, range(4)))
    assert Package.objects.count() == before + 1


def test_writes_the_sentence_of_a_refusal(scene: Scene, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(work: Work, tell: works.Tell) -> dict[str, Any]:
        raise Implausible("The line is gone.")

    monkeypatch.setitem(worker.KINDS, "build package", refuse)
    work = asked(scene)
    run_work(work.id)
    work.refresh_from_db()
    assert (work.state, work.error) == ("failed", "The line is gone.")


def test_writes_a_sentence_and_not_a_traceback_where_the_program_fails(
    scene: Scene, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def break_down(work: Work, tell: works.Tell) -> dict[str, Any]:
        raise ZeroDivisionError

    monkeypatch.setitem(worker.KINDS, "build package", break_down)
    work = asked(scene)
    run_work(work.id)
    work.refresh_from_db()
    assert work.state == "failed"
    assert work.error == (
        f"The program failed at this; the server's log says why, under work {work.id}. Tell your administrator."
    )
    assert "ZeroDivisionError" in caplog.text


def test_takes_over_from_a_worker_that_went_silent(scene: Scene) -> None:
    work = asked(scene)
    dead = works.take(work.id)
    assert dead is not None
    assert works.take(work.id) is None
    silence(work, works.SILENCE + timedelta(seconds=1))
    run_work(work.id)
    work.refresh_from_db()
    assert (work.state, work.tries) == ("done", 2)


def in_store(storage: Path) -> set[str]:
    """The files of packages that are kept, by name."""
    return {file.name for file in (storage / "packages").iterdir()}


def test_a_worker_thought_to_be_dead_writes_nothing_when_it_wakes_up(scene: Scene, storage: Path) -> None:
    work = asked(scene)
    before, files = Package.objects.count(), in_store(storage)

    def late(asked_work: Work, tell: works.Tell) -> dict[str, Any]:
        silence(work, works.SILENCE + timedelta(seconds=1))
        with ThreadPoolExecutor(1) as other:
            other.submit(run_in_thread, work.id).result()
        return built(asked_work, tell)

    built = worker.KINDS["build package"]
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(
            worker.KINDS, "build package", lambda *given: late(*given) if given[0].tries == 1 else built(*given)
        )
        run_work(work.id)
    work.refresh_from_db()
    assert (work.state, work.tries) == ("done", 2)
    assert Package.objects.count() == before + 1
    assert len(in_store(storage) - files) == 2


def test_leaves_no_file_of_a_package_that_was_not_recorded(
    scene: Scene, storage: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("office.actions.build_package.works.is_mine", lambda work: False)
    before, files = Package.objects.count(), in_store(storage)
    work = asked(scene)
    run_work(work.id)
    assert Package.objects.count() == before
    assert in_store(storage) == files


def test_the_sweep_hands_out_what_was_left_behind(scene: Scene, settings: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    left, waiting, fresh = asked(scene), asked(scene), asked(scene)
    works.take(left.id)
    silence(left, works.SILENCE + timedelta(seconds=1))
    Work.objects.filter(id=waiting.id).update(asked_at=timezone.now() - works.SILENCE - timedelta(seconds=1))
    delivered: list[UUID] = []
    monkeypatch.setattr(works, "deliver", delivered.append)
    assert sweep() == 2
    assert set(delivered) == {left.id, waiting.id}
    assert fresh.id not in delivered


def test_the_sweep_hands_out_once_what_waits_in_the_queue_already(scene: Scene) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("the queue is PostgreSQL's")
    waiting = asked(scene)
    Work.objects.filter(id=waiting.id).update(asked_at=timezone.now() - works.SILENCE - timedelta(seconds=1))
    assert sweep() == 0


def test_gives_up_work_that_stopped_every_worker(scene: Scene) -> None:
    work = asked(scene)
    Work.objects.filter(id=work.id).update(state="running", tries=works.TRIES)
    silence(work, works.SILENCE + timedelta(seconds=1))
    sweep()
    work.refresh_from_db()
    assert work.state == "failed"
    assert "5 workers stopped in the middle of this" in work.error


def test_refreshes_what_a_wide_change_left_stale(scene: Scene) -> None:
    Joint.objects.filter(job=scene.job).update(is_stale=True, state="planned")
    work = works.ask(scene.job, "refresh findings", {}, by=scene.engineer)
    run_work(work.id)
    work.refresh_from_db()
    assert (work.state, work.result) == ("done", {"joints": 6})
    assert not Joint.objects.filter(job=scene.job, is_stale=True).exists()
    assert Joint.objects.get(job=scene.job, number="1").state == "released"


def test_a_thread_of_the_same_process_does_it_once_however_often_it_is_told(scene: Scene) -> None:
    work = asked(scene)
    before = Package.objects.count()
    for _ in range(3):
        worker.start_thread(work.id)
    ends = time.monotonic() + 60
    while Work.objects.get(id=work.id).state != "done":
        assert time.monotonic() < ends
        time.sleep(0.05)
    for thread in threading.enumerate():
        if thread.name == f"work {work.id}":
            thread.join()
    assert Package.objects.count() == before + 1
    assert Work.objects.get(id=work.id).tries == 1


def silence(work: Work, for_so_long: timedelta) -> None:
    Work.objects.filter(id=work.id).update(beat_at=timezone.now() - for_so_long)


def run_in_thread(work_id: UUID) -> None:
    try:
        run_work(work_id)
    finally:
        connection.close()
