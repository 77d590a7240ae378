"""The records that stand: what is corrected or withdrawn counts no more, what corrects it does."""

from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.withdraw_records import withdraw_records
from records.models import FitUp, Job, Joint, User, Withdrawal
from records.standing import standing
from tests.builders import JointBuilder, days_ago


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
