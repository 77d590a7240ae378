"""Releases: a signature that rests on what is true when it is given."""

from datetime import datetime, timedelta

import pytest
from django.utils import timezone

from inspection.actions.override_findings import override_findings
from inspection.actions.record_examinations import record_examinations
from inspection.actions.release_joints import release_joints
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from records.models import Examination, Finding, FitUp, Job, Joint, Override, Pass, Qualification, Release, Stamp, User
from records.models.base import new_id
from records.rebuild import differences
from records.refusals import Implausible, NotReleasable
from tests.builders import days_ago


def examined(job: Job, joint: Joint, by: User, result: str) -> None:
    at = timezone.now() - timedelta(hours=2)
    told = {"done_on": timezone.localdate(at), "done_at": at, "by": "Ines Carrow", "method": "VT", "result": result}
    record_examinations([Examination(joint=joint, **told)], job=job, by=by)


def release(joint: Joint, **more: object) -> Release:
    now: datetime = timezone.now()
    return Release(**{"joint": joint, "done_on": timezone.localdate(now), "done_at": now, "by": "Ines Carrow"} | more)


@pytest.fixture
def welded(job: Job, joint: Joint, stamp: Stamp, engineer: User) -> Joint:
    """Joint 14, fitted and welded three days ago."""
    day = days_ago(3)
    record_fit_ups([FitUp(joint=joint, done_on=day, by="A1")], job=job, by=engineer)
    made = [(1, "root"), (2, "cap")]
    passes = [Pass(joint=joint, order=n, role=r, stamp=stamp, process="GTAW", done_on=day) for n, r in made]
    record_passes(passes, job=job, by=engineer)
    return joint


def state_of(joint: Joint) -> str:
    joint.refresh_from_db()
    return joint.state


def test_a_release_sent_again_after_something_new_stops_the_joint_is_the_stored_one(
    job: Job, welded: Joint, inspector: User
) -> None:
    examined(job, welded, inspector, "accepted")
    at, key = timezone.now(), new_id()
    [first] = release_joints([release(welded, id=key, done_at=at)], job=job, by=inspector)
    assert state_of(welded) == "released"
    Finding.objects.create(job=job, joint=welded, attempt="0", code="leg-too-small", severity="stop", message="Leg")
    [again] = release_joints([release(welded, id=key, done_at=at)], job=job, by=inspector)
    assert again.recorded_at == first.recorded_at
    assert Release.objects.count() == 1


def test_a_stale_joint_is_judged_before_it_is_signed(job: Job, welded: Joint, inspector: User) -> None:
    examined(job, welded, inspector, "accepted")
    Qualification.objects.update(tested_on=days_ago(900))
    Joint.objects.filter(id=welded.id).update(is_stale=True)
    with pytest.raises(NotReleasable, match="lapsed"):
        release_joints([release(welded)], job=job, by=inspector)
    assert not Release.objects.exists()


def test_refuses_a_signature_for_an_attempt_that_the_joint_has_left(job: Job, welded: Joint, inspector: User) -> None:
    examined(job, welded, inspector, "accepted")
    with pytest.raises(NotReleasable, match="has gone on to 0"):
        release_joints([release(welded, attempt="R1")], job=job, by=inspector)
    assert not Release.objects.exists()


def test_a_good_signature_beside_it_does_not_carry_one_for_another_attempt(
    job: Job, welded: Joint, inspector: User
) -> None:
    examined(job, welded, inspector, "accepted")
    with pytest.raises(NotReleasable, match="has gone on to 0"):
        release_joints([release(welded, attempt="R1"), release(welded)], job=job, by=inspector)
    assert not Release.objects.exists()


def test_a_rejected_joint_goes_on_only_with_the_reject_overridden(job: Job, welded: Joint, inspector: User) -> None:
    examined(job, welded, inspector, "rejected")
    with pytest.raises(NotReleasable):
        release_joints([release(welded)], job=job, by=inspector)
    conceded = Override(
        joint=welded, code="examination-rejected", done_on=days_ago(0), by="Ines Carrow", reason="owner's concession 7"
    )
    override_findings([conceded], job=job, by=inspector)
    release_joints([release(welded)], job=job, by=inspector)
    assert state_of(welded) == "released"


def test_refuses_an_override_of_a_code_that_no_finding_has(job: Job, welded: Joint, inspector: User) -> None:
    draft = Override(joint=welded, code="leg-too-smal", done_on=days_ago(0), by="Ines Carrow", reason="seen")
    with pytest.raises(Implausible, match="no code of a finding"):
        override_findings([draft], job=job, by=inspector)
    assert not Override.objects.exists()


def test_an_override_does_not_cover_a_record_written_after_it(
    job: Job, welded: Joint, stamp: Stamp, inspector: User, engineer: User
) -> None:
    def hot(order: int) -> Pass:
        said = {"role": "cap", "process": "GTAW", "done_on": days_ago(2), "amps": 220}
        return Pass(joint=welded, order=order, stamp=stamp, **said)

    first, second = hot(3), hot(4)
    record_passes([first], job=job, by=engineer)
    accepted = Override(
        joint=welded, code="pass-out-of-range", done_on=days_ago(0), by="Ines Carrow", reason="seen on site"
    )
    override_findings([accepted], job=job, by=inspector)
    record_passes([second], job=job, by=engineer)
    rows = Finding.objects.filter(joint=welded, code="pass-out-of-range").values_list("record", "override_id")
    assert dict(rows) == {str(first.id): accepted.id, str(second.id): None}
    assert list(differences(job)) == []
