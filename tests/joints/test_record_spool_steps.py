"""Steps of spools recorded: in any order, once, and signed by those who may."""

from typing import Any

import pytest

from joints.actions.record_spool_steps import record_spool_steps
from joints.actions.withdraw_shop_records import withdraw_shop_records
from records.models import Job, Joint, JournalEntry, Spool, SpoolStep, User, Withdrawal
from records.models.base import new_id
from records.rebuild import differences
from records.refusals import Implausible, NotAllowed
from tests.builders import days_ago


@pytest.fixture
def spool(joint: Joint) -> Spool:
    assert joint.spool is not None
    return joint.spool


def step(spool: Spool, word: str, **more: Any) -> SpoolStep:
    return SpoolStep(**{"spool": spool, "step": word, "done_on": days_ago(1), "by": "Yard"} | more)


def test_records_a_step_once_out_of_order_and_derives_the_spool(job: Job, spool: Spool, welder: User) -> None:
    key = new_id()
    for _ in range(2):
        record_spool_steps([step(spool, "shipped", id=key, place="Truck 4")], job=job, by=welder)
    assert SpoolStep.objects.count() == JournalEntry.objects.filter(kind="spoolstep").count() == 1
    spool.refresh_from_db()
    assert (spool.state, spool.place, spool.last_on) == ("shipped", "Truck 4", days_ago(1))
    assert list(differences(job)) == []


@pytest.mark.parametrize(
    ("word", "result", "may_not"), [("dimensional check", "accepted", "foreman"), ("released", "", "foreman")]
)
def test_what_is_signed_for_takes_the_right_to_sign(
    job: Job, spool: Spool, foreman: User, inspector: User, word: str, result: str, may_not: str
) -> None:
    with pytest.raises(NotAllowed):
        record_spool_steps([step(spool, word, result=result)], job=job, by=foreman)
    [stored] = record_spool_steps([step(spool, word, result=result)], job=job, by=inspector)
    away = Withdrawal(kind="spoolstep", record=stored.id, reason="Another spool")
    with pytest.raises(NotAllowed):
        withdraw_shop_records([away], job=job, by=foreman)
    with pytest.raises(NotAllowed):
        slip = step(spool, "cleaned", replaces_id=stored.id, reason="Only cleaned")
        record_spool_steps([slip], job=job, by=foreman)
    withdraw_shop_records([away], job=job, by=inspector)
    assert Spool.objects.get(id=spool.id).state == "in fabrication"
    assert list(differences(job)) == []


@pytest.mark.parametrize(
    ("word", "result", "says"),
    [
        ("polished", "", "no step of a spool"),
        ("dimensional check", "", "needs its result"),
        ("shipped", "accepted", "Only a dimensional check has a result"),
    ],
)
def test_refuses_what_cant_be(job: Job, spool: Spool, inspector: User, word: str, result: str, says: str) -> None:
    with pytest.raises(Implausible, match=says):
        record_spool_steps([step(spool, word, result=result)], job=job, by=inspector)
    assert not SpoolStep.objects.exists()


def test_a_stored_state_that_does_not_follow_is_told(job: Job, spool: Spool) -> None:
    Spool.objects.filter(id=spool.id).update(state="erected")
    [told] = list(differences(job))
    assert told == f"Spool {spool.mark}: state is stored as erected, but follows as in fabrication."
