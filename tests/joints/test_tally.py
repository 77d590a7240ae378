"""Joints and diameter-inches by state."""

import pytest

from joints.queries.tally import tally, tally_by_line
from records.models import Job, Joint
from tests.builders import LineBuilder
from tests.many import lines_of, many_joints

pytestmark = pytest.mark.django_db


def test_adds_joints_and_diameter_inches_by_state(job: Job) -> None:
    """14 joints of NPS 1-1/2, two in each state: 2 x 1.5 = 3 and 14 x 1.5 = 21 diameter-inches."""
    many_joints(job, 14)
    found = tally(Joint.objects.filter(job=job))
    assert {(share.joints, share.inches) for share in found.shares} == {(2, "3")}
    assert (found.joints, found.inches, found.released, found.released_inches) == (14, "21", 2, "3")
    assert found.released_percent == 14


def test_the_shares_of_a_strip_follow_each_other_to_its_end(job: Job) -> None:
    many_joints(job, 14)
    shares = tally(Joint.objects.filter(job=job)).shares
    for one, after in zip(shares, shares[1:], strict=False):
        assert one.start + one.percent == pytest.approx(after.start, abs=0.02)
    assert shares[-1].start + shares[-1].percent == pytest.approx(100, abs=0.02)


def test_a_withdrawn_joint_counts_apart(job: Job) -> None:
    many_joints(job, 3)
    Joint.objects.filter(job=job, number="1").update(state="withdrawn")
    found = tally(Joint.objects.filter(job=job))
    assert (found.joints, found.withdrawn) == (2, 1)


def test_a_size_that_cannot_be_read_adds_a_joint_and_no_inches(job: Job) -> None:
    many_joints(job, 2)
    Joint.objects.filter(job=job, number="1").update(nps="large")
    assert (tally(Joint.objects.filter(job=job)).joints, tally(Joint.objects.filter(job=job)).inches) == (2, "1.5")


def test_a_line_without_joints_has_an_empty_tally(job: Job, django_assert_num_queries) -> None:
    many_joints(job, 4, per_line=2)
    empty = LineBuilder(job=job)
    ids = [line.id for line in lines_of(job)]
    with django_assert_num_queries(1):
        found = tally_by_line(ids)
    assert found[empty.id].joints == 0 and found[empty.id].shares == ()
    assert sorted(one.joints for one in found.values()) == [0, 2, 2]
