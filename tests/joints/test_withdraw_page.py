"""The page on which a record made in error is withdrawn."""

from collections.abc import Callable

from django.test import Client

from joints.actions.record_fit_ups import record_fit_ups
from records.models import FitUp, Joint, User, Withdrawal
from records.models.base import new_id
from tests.builders import JointBuilder, days_ago

SignIn = Callable[[User], Client]


def fit(joint: Joint, by: User) -> FitUp:
    return record_fit_ups([FitUp(joint=joint, done_on=days_ago(0), by="A1", gap_mm=1)], job=joint.job, by=by)[0]


def page(joint: Joint, record: FitUp) -> str:
    return f"/jobs/{joint.job.code}/joints/{joint.id}/withdraw/?kind=fitup&record={record.id}"


def test_shows_the_record_and_withdraws_it_with_a_reason(joint: Joint, foreman: User, sign_in: SignIn) -> None:
    browser, record = sign_in(foreman), fit(joint, foreman)
    assert "Fitted up" in browser.get(page(joint, record)).text
    data = {"id": str(new_id()), "kind": "fitup", "record": str(record.id), "reason": "Made on joint 15"}
    assert [browser.post(page(joint, record), data).status_code for _ in range(2)] == [303, 303]
    assert Withdrawal.objects.get().reason == "Made on joint 15"
    joint.refresh_from_db()
    assert joint.state == "planned"


def test_without_a_reason_nothing_is_withdrawn(joint: Joint, foreman: User, sign_in: SignIn) -> None:
    record = fit(joint, foreman)
    data = {"id": str(new_id()), "kind": "fitup", "record": str(record.id), "reason": " "}
    answer = sign_in(foreman).post(page(joint, record), data)
    assert answer.status_code == 422
    assert '<a href="#id_reason">' in answer.text
    assert "Why it is withdrawn: this is missing." in answer.text
    assert not Withdrawal.objects.exists()


def test_a_record_of_another_joint_is_absent_here(joint: Joint, foreman: User, sign_in: SignIn) -> None:
    record, other = fit(joint, foreman), JointBuilder(sheet=joint.sheet)
    assert sign_in(foreman).get(page(other, record)).status_code == 404


def test_a_welder_may_not_withdraw(joint: Joint, welder: User, sign_in: SignIn) -> None:
    record = fit(joint, welder)
    assert sign_in(welder).get(page(joint, record)).status_code == 403
    assert not Withdrawal.objects.exists()
