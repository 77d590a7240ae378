"""Two who write at the same instant, each over a connection of its own: what is stored is what follows from both."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from threading import Barrier, Thread
from typing import Any

import pytest
from django.db import connection, transaction
from django.test import Client
from django.urls import reverse

from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from joints.actions.save_plan import save_plan
from joints.actions.withdraw_records import withdraw_records
from records.batch import together
from records.locking import lock_joints, lock_plan, lock_welders
from records.models import (
    Finding,
    FitUp,
    Joint,
    Pass,
    Procedure,
    ProcedurePass,
    Qualification,
    Stamp,
    Welder,
    Withdrawal,
)
from records.models.base import new_id
from records.rebuild import differences
from records.refusals import Busy
from records.retrying import TRIES, retried
from records.verify import first_bad
from tests.records.scene import DAY, Scene, open_job, plan, weld

pytestmark = pytest.mark.usefixtures("own_database")
only_postgresql = pytest.mark.skipif("connection.vendor != 'postgresql'", reason="SQLite has one writer at a time")
Deed = Callable[[], Any]
# By then a deed that waits for nobody is long done.
HEAD_START = 0.7


@pytest.fixture
def scene() -> Scene:
    return plan(*open_job())


def told(scene: Scene) -> set[tuple[str, str]]:
    rows = Finding.objects.filter(job=scene.job).exclude(code__in=("fit-up-missing", "examination-due"))
    return set(rows.values_list("joint__number", "code"))


def beside(deed: Deed) -> "tuple[Thread, list[BaseException]]":
    """Start a deed over a connection of its own; what it raises is kept."""
    raised: list[BaseException] = []

    def run() -> None:
        try:
            deed()
        except BaseException as error:  # noqa: BLE001  (whatever it is, the test must see it)
            raised.append(error)
        finally:
            connection.close()

    thread = Thread(target=run)
    thread.start()
    return thread, raised


def at_once(first: Deed, second: Deed) -> None:
    """Do the first deed, and the second before the first one's transaction ends."""
    with transaction.atomic():
        first()
        thread, raised = beside(second)
        thread.join(HEAD_START)
    thread.join(30)
    assert not thread.is_alive() and raised == []


def pass_of(scene: Scene, number: str, *, stamp: Stamp | None = None, on: date = DAY, **more: Any) -> Pass:
    values = {"order": 1, "role": "root", "process": "GTAW", "stamp": stamp or scene.stamp, **more}
    return Pass(joint=scene.joints[number], done_on=on, by="K7", **values)


def passes(scene: Scene, *drafts: Pass) -> Deed:
    return lambda: record_passes(drafts, job=scene.job, by=scene.engineer)


def save(scene: Scene, *rows: Any) -> Deed:
    return lambda: [save_plan([row], job=scene.job, by=scene.engineer, reason="read again") for row in rows]


def old_hand(scene: Scene) -> Stamp:
    """A welder tested in January, whose process is alive in September only if it was used by the fifth of July."""
    welder = Welder(name="Runa Teasdale")
    stamp = Stamp(welder=welder, code="R4")
    test = Qualification.objects.get(job=scene.job)
    test.id, test.stamp, test.wpq, test.tested_on = new_id(), stamp, "R4-1", date(2026, 1, 5)
    save(scene, welder, stamp, test)()
    return stamp


def other_procedure(scene: Scene) -> tuple[Procedure, ProcedurePass]:
    """A procedure that no joint is planned with."""
    procedure = Procedure(number="W-2", revision="0", p_numbers=["1"], processes=["GTAW"])
    root = ProcedurePass(procedure=procedure, role="root", process="GTAW", filler="ER70S-6", amps_max=Decimal(150))
    save(scene, procedure, root)()
    return procedure, root


@pytest.mark.parametrize("plan_first", [True, False])
def test_a_pass_and_a_tighter_limit_of_its_procedure(scene: Scene, plan_first: bool) -> None:
    procedure, root = other_procedure(scene)
    root.amps_max = Decimal(90)
    both = [save(scene, root), passes(scene, pass_of(scene, "1", procedure=procedure, amps=Decimal(120)))]
    at_once(*(both if plan_first else reversed(both)))
    assert told(scene) == {("1", "pass-out-of-range")}
    assert list(differences(scene.job)) == []


@pytest.mark.parametrize("plan_first", [True, False])
def test_a_fit_up_and_a_tighter_gap(scene: Scene, plan_first: bool) -> None:
    procedure = Procedure.objects.get(job=scene.job)
    procedure.gap_max_mm = Decimal(1)
    fit_up = FitUp(joint=scene.joints["1"], done_on=DAY, by="K7", gap_mm=Decimal("1.5875"))
    both = [save(scene, procedure), lambda: record_fit_ups([fit_up], job=scene.job, by=scene.engineer)]
    at_once(*(both if plan_first else reversed(both)))
    assert told(scene) == {("1", "gap-out-of-range")}
    assert list(differences(scene.job)) == []


@pytest.mark.parametrize("plan_first", [True, False])
def test_the_first_passes_of_a_welder_and_a_suspension(scene: Scene, plan_first: bool) -> None:
    test = Qualification.objects.get(job=scene.job)
    test.status, test.status_on = "suspended", test.tested_on
    both = [save(scene, test), passes(scene, pass_of(scene, "1"), pass_of(scene, "2"))]
    at_once(*(both if plan_first else reversed(both)))
    assert told(scene) == {("1", "stamp-suspended"), ("2", "stamp-suspended")}
    assert list(differences(scene.job)) == []


@pytest.mark.parametrize("early_first", [True, False])
def test_a_pass_and_the_one_that_kept_its_welder_alive(scene: Scene, early_first: bool) -> None:
    stamp = old_hand(scene)
    both = [
        passes(scene, pass_of(scene, "1", stamp=stamp, on=date(2026, 6, 30))),
        passes(scene, pass_of(scene, "2", stamp=stamp)),
    ]
    at_once(*(both if early_first else reversed(both)))
    assert told(scene) == set()
    assert list(differences(scene.job)) == []


@pytest.mark.parametrize("batch_first", [True, False])
def test_a_pass_and_the_one_that_kept_its_welder_alive_in_a_batch(scene: Scene, batch_first: bool) -> None:
    stamp = old_hand(scene)
    early = passes(scene, pass_of(scene, "1", stamp=stamp, on=date(2026, 6, 30)), pass_of(scene, "3", stamp=stamp))

    def batch() -> None:
        with together(scene.job):
            early()

    both = [batch, passes(scene, pass_of(scene, "2", stamp=stamp))]
    at_once(*(both if batch_first else reversed(both)))
    assert told(scene) == set()
    assert list(differences(scene.job)) == []


@pytest.mark.parametrize("pass_first", [True, False])
def test_a_pass_and_the_withdrawal_of_the_one_that_kept_its_welder_alive(scene: Scene, pass_first: bool) -> None:
    stamp = old_hand(scene)
    early = pass_of(scene, "1", stamp=stamp, on=date(2026, 6, 30))
    passes(scene, early)()
    gone = Withdrawal(joint=scene.joints["1"], kind="pass", record=early.id, reason="Wrong joint")
    both = [
        passes(scene, pass_of(scene, "2", stamp=stamp)),
        lambda: withdraw_records([gone], job=scene.job, by=scene.engineer),
    ]
    at_once(*(both if pass_first else reversed(both)))
    assert told(scene) == {("2", "qualification-lapsed")}
    assert list(differences(scene.job)) == []


@only_postgresql
def test_whoever_records_on_another_joint_for_another_welder_waits_for_nobody(scene: Scene) -> None:
    stamp = old_hand(scene)
    with transaction.atomic():
        lock_plan(scene.job)
        lock_welders(scene.job, [stamp.id])
        lock_joints(scene.job, [scene.joints["1"].id])
        thread, raised = beside(passes(scene, pass_of(scene, "2")))
        thread.join(10)
        assert not thread.is_alive() and raised == []
    assert Pass.objects.filter(joint=scene.joints["2"]).count() == 1


@only_postgresql
def test_two_who_lock_crosswise_both_succeed(scene: Scene) -> None:
    """The database ends one of them; what it did is done again, once."""
    met, tries = Barrier(2, timeout=20), []
    one, other = scene.joints["1"], scene.joints["2"]

    def crosswise(mine: Joint, yours: Joint) -> Deed:
        drafts = [FitUp(joint=joint, done_on=DAY, by="K7", gap_mm=Decimal("1.5875")) for joint in (mine, yours)]

        @retried
        def deed() -> None:
            with together(scene.job):
                tries.append(mine)
                lock_joints(scene.job, [mine.id])
                if len(tries) <= 2:
                    met.wait()
                lock_joints(scene.job, [yours.id])
                record_fit_ups(drafts, job=scene.job, by=scene.engineer)

        return deed

    pair = [beside(crosswise(one, other)), beside(crosswise(other, one))]
    for thread, raised in pair:
        thread.join(30)
        assert not thread.is_alive() and raised == []
    assert len(tries) == 3
    assert FitUp.objects.count() == 4
    assert first_bad(scene.job) is None and list(differences(scene.job)) == []


def hurry() -> None:
    """Let this connection wait for a lock no longer than a moment."""
    with connection.cursor() as cursor:
        cursor.execute("SET lock_timeout = 50" if connection.vendor == "postgresql" else "PRAGMA busy_timeout = 50")


def test_who_waits_in_vain_is_told_in_a_sentence_after_a_bounded_number_of_tries(scene: Scene) -> None:
    tries = []

    @retried
    def deed() -> None:
        tries.append(1)
        with transaction.atomic():
            weld(scene, scene.joints["1"])

    def hurried() -> None:
        hurry()
        deed()

    with transaction.atomic():
        lock_joints(scene.job, [scene.joints["1"].id])
        thread, raised = beside(hurried)
        thread.join(30)
    [busy] = raised
    assert isinstance(busy, Busy) and "Send it again" in busy.message
    assert len(tries) == (1 if connection.vendor == "sqlite" else TRIES)
    assert not FitUp.objects.exists()


def test_a_form_sent_meanwhile_comes_back_with_503_and_the_sentence(scene: Scene) -> None:
    client = Client()
    client.force_login(scene.engineer, backend="django.contrib.auth.backends.ModelBackend")
    address = reverse("fit-up-record", args=[scene.job.code, scene.joints["1"].id])
    sent = {"id": str(new_id()), "attempt": "0", "date": DAY.isoformat(), "by": "K7", "gap": "1/16"}
    answers = []

    def post() -> None:
        hurry()
        answers.append(client.post(address, sent))

    with transaction.atomic():
        lock_joints(scene.job, [scene.joints["1"].id])
        thread, raised = beside(post)
        thread.join(30)
    assert raised == []
    assert answers[0].status_code == 503
    assert "Send it again" in answers[0].text and 'value="1/16"' in answers[0].text
    assert client.post(address, sent).status_code == 303
