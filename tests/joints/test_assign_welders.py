"""Assignments: only the qualified without a written reason, once each, and none with a stamp of another job."""

import pytest

from joints.actions.assign_welders import assign_welders
from records.models import Assignment, Job, Joint, Qualification, Stamp, User
from records.models.base import new_id
from records.refusals import Implausible, NotAllowed, NotQualified
from tests.builders import StampBuilder, WelderBuilder, days_ago


def to(joint: Joint, stamp: Stamp, **more: object) -> Assignment:
    return Assignment(**{"joint": joint, "stamp": stamp, "done_on": days_ago(0), "by": "Frida Holm"} | more)


def test_an_assignment_sent_again_after_the_welder_lapsed_is_the_stored_one(
    job: Job, joint: Joint, stamp: Stamp, foreman: User
) -> None:
    key = new_id()
    [first] = assign_welders([to(joint, stamp, id=key)], job=job, by=foreman)
    Qualification.objects.filter(stamp=stamp).update(tested_on=days_ago(900))
    with pytest.raises(NotQualified):
        assign_welders([to(joint, stamp)], job=job, by=foreman)
    [again] = assign_welders([to(joint, stamp, id=key)], job=job, by=foreman)
    assert again.recorded_at == first.recorded_at
    assert Assignment.objects.count() == 1


def test_one_who_is_not_qualified_is_assigned_with_a_written_reason_only(
    job: Job, joint: Joint, unqualified_stamp: Stamp, foreman: User
) -> None:
    with pytest.raises(NotQualified, match="Choose another welder"):
        assign_welders([to(joint, unqualified_stamp)], job=job, by=foreman)
    assert not Assignment.objects.exists()
    assign_welders([to(joint, unqualified_stamp, override_reason="supervised test piece")], job=job, by=foreman)
    joint.refresh_from_db()
    assert joint.assigned == unqualified_stamp


def test_refuses_a_stamp_and_a_joint_of_another_job(
    job: Job, joint: Joint, stamp: Stamp, foreman: User, other_job: Job
) -> None:
    foreign = StampBuilder(welder=WelderBuilder(job=other_job))
    with pytest.raises(Implausible, match="This stamp does not exist on this job"):
        assign_welders([to(joint, foreign)], job=job, by=foreman)
    Joint.objects.filter(id=joint.id).update(job=other_job)
    with pytest.raises(Implausible, match="This joint does not exist on this job"):
        assign_welders([to(joint, stamp)], job=job, by=foreman)


def test_a_welder_may_not_assign(job: Job, joint: Joint, stamp: Stamp, welder: User) -> None:
    with pytest.raises(NotAllowed):
        assign_welders([to(joint, stamp)], job=job, by=welder)
    assert not Assignment.objects.exists()
