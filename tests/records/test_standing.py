"""The records that stand: what is corrected or withdrawn counts no more, what corrects it does."""

from datetime import date, timedelta

from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.withdraw_records import withdraw_records
from records.models import FitUp, Job, Joint, User, Withdrawal
from records.models.base import new_ids
from records.standing import corrected, standing, standing_on
from tests.builders import JointBuilder, days_ago

DAY, A_DAY = date(2026, 9, 1), timedelta(days=1)


def test_what_is_corrected_or_withdrawn_stands_no_more(job: Job, joint: Joint, engineer: User, foreman: User) -> None:
    joints = [joint, *JointBuilder.create_batch(2, sheet=joint.sheet)]
    first, second, third = record_fit_ups(
        [FitUp(joint=one, done_on=days_ago(3), by="A1") for one in joints], job=job, by=engineer
    )
    better = FitUp(joint=joint, done_on=days_ago(2), by="A1", replaces=first, reason="Another day")
    record_fit_ups([better], job=job, by=engineer)
    gone = Withdrawal(joint=joints[1], kind="fitup", record=second.id, reason="Another joint")
    withdraw_records([gone], job=job, by=foreman)
    assert {one.id for one in standing(FitUp, job)} == {better.id, third.id}


def test_on_a_day_the_version_of_a_record_counts_that_came_last_until_then() -> None:
    first, second, third, other = new_ids(4)
    versions = [
        (first, None, DAY),
        (second, first, DAY + 4 * A_DAY),
        (third, second, DAY + 2 * A_DAY),
        (other, None, DAY),
    ]
    assert corrected(versions, DAY + A_DAY) == set()
    assert corrected(versions, DAY + 3 * A_DAY) == {first, second}
    assert corrected(versions, date.max) == {first, second}
    # What is withdrawn never stood, and neither did what it had replaced.
    assert corrected(versions, DAY + A_DAY, [third]) == {first, second, third}


def test_a_correction_dated_later_leaves_the_record_as_it_was(job: Job, joint: Joint, engineer: User) -> None:
    # Common practice, no source.
    [first] = record_fit_ups([FitUp(joint=joint, done_on=days_ago(5), by="A1")], job=job, by=engineer)
    better = FitUp(joint=joint, done_on=days_ago(2), by="A1", replaces=first, reason="Set again")
    record_fit_ups([better], job=job, by=engineer)
    rows = FitUp.objects.filter(job=job)
    stood = {ago: [one.id for one in standing_on(rows, days_ago(ago))] for ago in (6, 5, 3, 2)}
    assert stood == {6: [], 5: [first.id], 3: [first.id], 2: [better.id]}
    assert [one.id for one in standing_on(rows, date.max)] == [better.id]
