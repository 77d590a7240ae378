"""Many actions as one batch, and what the rows of a plan touch."""

import pytest

from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.save_plan import save_plan
from records.batch import together
from records.models import FitUp, Heat, Job, Joint, Material, User
from records.models.base import new_id
from records.touching import touched_joints
from tests.builders import days_ago


def test_what_is_not_judged_in_a_batch_is_marked_stale(job: Job, joint: Joint, foreman: User) -> None:
    with together(job, judge=False):
        record_fit_ups([FitUp(joint=joint, done_on=days_ago(1), by="A1")], job=job, by=foreman)
    joint.refresh_from_db()
    assert (joint.state, joint.is_stale) == ("planned", True)


def test_a_batch_judges_its_joints_once_at_its_end(job: Job, joint: Joint, foreman: User) -> None:
    with together(job):
        record_fit_ups([FitUp(joint=joint, done_on=days_ago(1), by="A1")], job=job, by=foreman)
        joint.refresh_from_db()
        assert joint.state == "planned"
    joint.refresh_from_db()
    assert (joint.state, joint.is_stale) == ("fitted", False)


@pytest.mark.parametrize("judge", [False, True])
def test_a_joint_made_in_a_batch_is_stale_where_the_batch_does_not_judge_it(
    judge: bool, job: Job, joint: Joint, engineer: User
) -> None:
    made = Joint.objects.get(id=joint.id)
    made.id, made.number = new_id(), "15"
    with together(job, judge=judge):
        save_plan([made], job=job, by=engineer)
    assert Joint.objects.get(id=made.id).is_stale is not judge


def test_a_material_touches_the_joints_that_name_it_in_any_case(job: Job, joint: Joint) -> None:
    Joint.objects.filter(id=joint.id).update(material_b="x999 GR 2")
    assert set(touched_joints([Material(job=job, name="X999 Gr 2", p_number="1")])) == {joint.id}
    assert not touched_joints([Material(job=job, name="X999 Gr 3", p_number="1")])


def test_a_heat_touches_the_joints_at_whose_fit_up_it_was_read_where_none_is_planned(
    job: Job, joint: Joint, foreman: User
) -> None:
    record_fit_ups([FitUp(joint=joint, done_on=days_ago(1), by="A1", heat_a_read="k 77")], job=job, by=foreman)
    read = [Heat(job=job, number="K77")]
    assert not touched_joints(read)
    Joint.objects.filter(id=joint.id).update(heat_a=None)
    assert set(touched_joints(read)) == {joint.id}
    assert not touched_joints([Heat(job=job, number="K7")])
