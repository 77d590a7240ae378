"""Passes recorded: once, judged with what they change elsewhere, and told to the journal as they are stored."""

from datetime import date
from decimal import Decimal

import pytest

from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from joints.actions.withdraw_records import withdraw_records
from records.models import (
    Finding,
    FitUp,
    Job,
    Joint,
    JournalEntry,
    Pass,
    Procedure,
    Qualification,
    Stamp,
    User,
    Withdrawal,
)
from records.models.base import new_id
from records.rebuild import differences
from records.refusals import Implausible, NotAllowed
from records.verify import differing_column
from rules.units import parse_travel
from tests.builders import JointBuilder, ProcedureBuilder, StampBuilder, WelderBuilder, days_ago


def a_pass(joint: Joint, stamp: Stamp, day: date, **more: object) -> Pass:
    return Pass(
        **{"joint": joint, "order": 1, "role": "root", "stamp": stamp, "process": "GTAW", "done_on": day} | more
    )


@pytest.fixture
def tested_long_ago(stamp: Stamp) -> Stamp:
    """A1, whose only test is 300 days ago: without a use since, GTAW has lapsed."""
    Qualification.objects.filter(stamp=stamp).update(tested_on=days_ago(300))
    return stamp


def lapsed(job: Job) -> set[str]:
    rows = Finding.objects.filter(job=job, code="qualification-lapsed")
    return set(rows.values_list("joint__number", flat=True))


def test_records_a_pass_and_twice_equals_once(job: Job, joint: Joint, stamp: Stamp, welder: User) -> None:
    key = new_id()
    for _ in range(2):
        [stored] = record_passes([a_pass(joint, stamp, days_ago(1), id=key)], job=job, by=welder)
        assert (stored.id, stored.recorded_by) == (key, welder)
    assert Pass.objects.count() == JournalEntry.objects.filter(kind="pass").count() == 1


def test_the_journal_says_a_typed_speed_as_the_column_keeps_it(
    job: Job, joint: Joint, stamp: Stamp, welder: User
) -> None:
    speed = parse_travel("3.3333 ipm", "US")
    [stored] = record_passes([a_pass(joint, stamp, days_ago(1), travel_mm_min=speed)], job=job, by=welder)
    assert differing_column(Pass.objects.get(), JournalEntry.objects.get(kind="pass").payload) == ""
    assert stored.travel_mm_min == Decimal("84.6658")


def test_a_client_may_not_record_a_pass(job: Job, joint: Joint, stamp: Stamp, client_person: User) -> None:
    with pytest.raises(NotAllowed):
        record_passes([a_pass(joint, stamp, days_ago(1))], job=job, by=client_person)
    assert not Pass.objects.exists()


def test_refuses_a_stamp_of_another_job_given_as_a_row_or_as_a_key(
    job: Job, joint: Joint, welder: User, other_job: Job
) -> None:
    foreign = StampBuilder(welder=WelderBuilder(job=other_job))
    with pytest.raises(Implausible, match="This stamp does not exist on this job"):
        record_passes([a_pass(joint, foreign, days_ago(1))], job=job, by=welder)
    by_key = Pass(joint=joint, order=1, role="root", stamp_id=foreign.id, process="GTAW", done_on=days_ago(1))
    with pytest.raises(Implausible, match="This stamp does not exist on this job"):
        record_passes([by_key], job=job, by=welder)
    assert not Pass.objects.exists()


def test_refuses_a_procedure_of_another_job(job: Job, joint: Joint, stamp: Stamp, welder: User, other_job: Job) -> None:
    foreign: Procedure = ProcedureBuilder(job=other_job)
    with pytest.raises(Implausible, match="This procedure does not exist on this job"):
        record_passes([a_pass(joint, stamp, days_ago(1), procedure=foreign)], job=job, by=welder)


def test_a_backdated_pass_takes_the_lapse_off_other_joints_and_off_tacks(
    job: Job, joint: Joint, tested_long_ago: Stamp, engineer: User
) -> None:
    late, tacked = JointBuilder(sheet=joint.sheet), JointBuilder(sheet=joint.sheet)
    record_passes([a_pass(late, tested_long_ago, days_ago(10))], job=job, by=engineer)
    tack = FitUp(joint=tacked, done_on=days_ago(20), tack_stamp=tested_long_ago)
    record_fit_ups([tack], job=job, by=engineer)
    assert lapsed(job) == {late.number}
    record_passes([a_pass(joint, tested_long_ago, days_ago(150))], job=job, by=engineer)
    assert lapsed(job) == set()
    assert not Finding.objects.filter(code="tacker-not-qualified").exists()
    assert list(differences(job)) == []


def test_a_pass_moved_to_a_later_day_lets_the_others_lapse(
    job: Job, joint: Joint, tested_long_ago: Stamp, engineer: User
) -> None:
    late = JointBuilder(sheet=joint.sheet)
    early = a_pass(joint, tested_long_ago, days_ago(150))
    record_passes([early, a_pass(late, tested_long_ago, days_ago(10))], job=job, by=engineer)
    moved = a_pass(joint, tested_long_ago, days_ago(5), replaces=early, reason="the wrong day")
    record_passes([moved], job=job, by=engineer)
    assert lapsed(job) == {joint.number, late.number}
    assert list(differences(job)) == []


def test_a_withdrawn_pass_lets_the_others_lapse(job: Job, joint: Joint, tested_long_ago: Stamp, engineer: User) -> None:
    late = JointBuilder(sheet=joint.sheet)
    early = a_pass(joint, tested_long_ago, days_ago(150))
    record_passes([early, a_pass(late, tested_long_ago, days_ago(10))], job=job, by=engineer)
    gone = Withdrawal(joint=joint, kind="pass", record=early.id, reason="made elsewhere")
    withdraw_records([gone], job=job, by=engineer)
    assert lapsed(job) == {late.number}
    assert list(differences(job)) == []
