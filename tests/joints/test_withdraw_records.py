"""Withdrawals: with a reason, once each, and only by somebody who may sign what is withdrawn."""

from typing import Any

import pytest

from inspection.actions.record_examinations import record_examinations
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.withdraw_records import withdraw_records
from records.models import Examination, FitUp, Job, Joint, User, Withdrawal
from records.models.base import new_id
from records.refusals import Implausible, NotAllowed, RecordClash
from tests.builders import days_ago


@pytest.fixture
def fit_up(job: Job, joint: Joint, foreman: User) -> FitUp:
    [stored] = record_fit_ups([FitUp(joint=joint, done_on=days_ago(2), by="A1")], job=job, by=foreman)
    return stored


def of(record: Any, **more: object) -> Withdrawal:
    kind = str(record._meta.model_name)
    said = {"joint": record.joint, "kind": kind, "record": record.id, "reason": "made on the wrong joint"}
    return Withdrawal(**said | more)


def test_a_withdrawal_sent_again_is_the_stored_one_and_another_is_refused(
    job: Job, joint: Joint, foreman: User, fit_up: FitUp
) -> None:
    key = new_id()
    [first] = withdraw_records([of(fit_up, id=key)], job=job, by=foreman)
    [again] = withdraw_records([of(fit_up, id=key)], job=job, by=foreman)
    assert (again.id, again.recorded_at) == (first.id, first.recorded_at)
    with pytest.raises(RecordClash, match="already withdrawn"):
        withdraw_records([of(fit_up)], job=job, by=foreman)
    joint.refresh_from_db()
    assert joint.state == "planned"
    assert Withdrawal.objects.count() == 1


def test_what_a_correction_replaced_is_not_withdrawn_but_the_correction_is(
    job: Job, joint: Joint, foreman: User, fit_up: FitUp
) -> None:
    correction = FitUp(joint=joint, done_on=days_ago(1), by="A1", replaces=fit_up, reason="the wrong day")
    record_fit_ups([correction], job=job, by=foreman)
    with pytest.raises(RecordClash, match="withdraw the newer record instead"):
        withdraw_records([of(fit_up)], job=job, by=foreman)
    withdraw_records([of(correction)], job=job, by=foreman)
    joint.refresh_from_db()
    assert joint.state == "planned"


def test_a_foreman_may_not_withdraw_what_an_inspector_signed(
    job: Job, joint: Joint, foreman: User, inspector: User
) -> None:
    reject = Examination(joint=joint, done_on=days_ago(1), by="Ines Carrow", method="VT", result="rejected")
    record_examinations([reject], job=job, by=inspector)
    with pytest.raises(NotAllowed):
        withdraw_records([of(reject)], job=job, by=foreman)
    assert not Withdrawal.objects.exists()
    withdraw_records([of(reject)], job=job, by=inspector)
    assert Withdrawal.objects.get().record == reject.id


def test_refuses_a_withdrawal_without_a_reason(job: Job, foreman: User, fit_up: FitUp) -> None:
    with pytest.raises(Implausible, match="needs its reason"):
        withdraw_records([of(fit_up, reason="  ")], job=job, by=foreman)
    assert not Withdrawal.objects.exists()
