"""The pages of repair decisions, releases and overrides."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from inspection.actions.record_examinations import record_examinations
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from records.models import Examination, Finding, FitUp, Joint, Override, Pass, Release, RepairDecision, Stamp, User
from records.models.base import new_id
from tests.builders import days_ago

SignIn = Callable[[User], Client]


def page(joint: Joint, rest: str) -> str:
    return f"/jobs/{joint.job.code}/joints/{joint.id}/{rest}"


def filled(**more: Any) -> dict[str, Any]:
    return {"id": str(new_id()), "attempt": "0", "date": str(days_ago(0)), "by": "Ines Carrow", **more}


@pytest.fixture
def welded(joint: Joint, welder: User, stamp: Stamp) -> Joint:
    """Joint 14 fitted up, its root and cap welded; VT is due."""
    by = {"job": joint.job, "by": welder}
    record_fit_ups([FitUp(joint=joint, done_on=days_ago(1), by="A1", gap_mm=1)], **by)
    rows = [
        Pass(joint=joint, order=order, role=role, stamp=stamp, process="GTAW", done_on=days_ago(1), by="A1")
        for order, role in ((1, "root"), (2, "cap"))
    ]
    record_passes(rows, **by)
    joint.refresh_from_db()
    return joint


def examined(joint: Joint, inspector: User, result: str) -> Joint:
    draft = Examination(joint=joint, method="VT", result=result, by="Ines Carrow", done_on=days_ago(0))
    record_examinations([draft], job=joint.job, by=inspector)
    joint.refresh_from_db()
    return joint


def test_a_repair_decision_opens_the_next_attempt_once(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    examined(welded, inspector, "rejected")
    browser = sign_in(inspector)
    assert "rejected the weld" in browser.get(page(welded, "repair/")).text
    data = filled(decision="repair", why="Grind out 4 to 5")
    assert [browser.post(page(welded, "repair/"), data).status_code for _ in range(2)] == [303, 303]
    assert RepairDecision.objects.get().reason == "Grind out 4 to 5"
    welded.refresh_from_db()
    assert (welded.attempt, welded.next_step) == ("R1", "weld")


def test_a_decision_must_be_one_of_two(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    answer = sign_in(inspector).post(page(welded, "repair/"), filled(why="Hm"))
    assert answer.status_code == 422
    assert '<a href="#id_decision">' in answer.text
    assert "Hm</textarea>" in answer.text


def test_a_release_is_refused_while_something_stops_it_and_says_what(
    welded: Joint, inspector: User, sign_in: SignIn
) -> None:
    browser = sign_in(inspector)
    assert "What stops it" in browser.get(page(welded, "release/")).text
    answer = browser.post(page(welded, "release/"), filled(remark="Urgent"))
    assert answer.status_code == 422
    assert "VT of this socket weld is due" in answer.text
    assert "Urgent</textarea>" in answer.text
    assert not Release.objects.exists()


def test_an_accepted_joint_is_released_once(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    examined(welded, inspector, "accepted")
    browser, data = sign_in(inspector), filled()
    assert "Nothing stops this joint." in browser.get(page(welded, "release/")).text
    assert [browser.post(page(welded, "release/"), data).status_code for _ in range(2)] == [303, 303]
    assert Release.objects.count() == 1
    welded.refresh_from_db()
    assert welded.state == "released"


def test_an_override_needs_its_reason_and_lets_the_joint_go_on(welded: Joint, engineer: User, sign_in: SignIn) -> None:
    browser = sign_in(engineer)
    finding = Finding.objects.get(joint=welded, code="examination-due")
    address = page(welded, f"override/?finding={finding.name}")
    assert finding.message in browser.get(address).text
    data = filled(finding=finding.name, why="")
    assert browser.post(address, data).status_code == 422
    assert not Override.objects.exists()
    assert browser.post(address, data | {"why": "Seen by the owner on site"}).status_code == 303
    stored = Override.objects.get()
    assert (stored.code, stored.attempt, stored.reason) == ("examination-due", "0", "Seen by the owner on site")
    welded.refresh_from_db()
    assert welded.stops == 0
    assert "Overridden by Ines Carrow" in browser.get(page(welded, "")).text


def test_an_override_sent_twice_is_one_and_the_second_answer_is_no_error(
    welded: Joint, engineer: User, sign_in: SignIn
) -> None:
    browser, data = sign_in(engineer), filled(finding="examination-due.0", why="Seen by the owner on site")
    assert [browser.post(page(welded, "override/"), data).status_code for _ in range(2)] == [303, 303]
    assert Override.objects.count() == 1


def test_what_was_settled_meanwhile_is_not_overridden_and_the_reason_stays_typed(
    welded: Joint, engineer: User, inspector: User, sign_in: SignIn
) -> None:
    data = filled(finding="examination-due.0", why="Seen by the owner on site")
    examined(welded, inspector, "accepted")
    answer = sign_in(engineer).post(page(welded, "override/"), data)
    assert answer.status_code == 422
    assert "there is nothing to override" in answer.text
    assert "Seen by the owner on site</textarea>" in answer.text
    assert not Override.objects.exists()


def test_a_finding_of_another_joint_or_none_is_absent(welded: Joint, engineer: User, sign_in: SignIn) -> None:
    browser = sign_in(engineer)
    assert browser.get(page(welded, "override/?finding=leg-too-small.0")).status_code == 404
    assert browser.get(page(welded, "override/?finding=x")).status_code == 404
    assert browser.get(page(welded, "override/")).status_code == 404


@pytest.mark.parametrize("rest", ["repair/", "release/", "override/?finding=examination-due.0"])
@pytest.mark.parametrize("who", ["welder", "foreman", "owner"])
def test_those_who_may_not_decide_are_refused(
    who: str, rest: str, welded: Joint, sign_in: SignIn, request: pytest.FixtureRequest
) -> None:
    browser = sign_in(request.getfixturevalue(who))
    assert browser.get(page(welded, rest)).status_code == 403
    assert browser.post(page(welded, rest), filled(decision="repair")).status_code == 403
    assert not (RepairDecision.objects.exists() or Release.objects.exists() or Override.objects.exists())


@pytest.mark.parametrize("rest", ["repair/", "release/", "override/?finding=examination-due.0"])
def test_a_foreign_joint_is_absent(rest: str, welded: Joint, visitor: User, sign_in: SignIn) -> None:
    assert sign_in(visitor).get(page(welded, rest)).status_code == 404
