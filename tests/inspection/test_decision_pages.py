"""The pages of repair decisions, releases and overrides."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from inspection.actions.decide_repairs import decide_repairs
from inspection.actions.record_examinations import record_examinations
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from joints.actions.save_plan import save_plan
from records.models import (
    Examination,
    Finding,
    FitUp,
    Heat,
    Joint,
    Override,
    Pass,
    Piece,
    Release,
    RepairDecision,
    Stamp,
    User,
)
from records.models.base import new_id
from records.rebuild import differences
from tests.builders import HeatBuilder, days_ago

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


@pytest.mark.parametrize(
    ("chosen", "stored"),
    [("A", "side A, piece 3"), ("B", "side B"), ("AB", "both sides, piece 3"), ("none", "none"), ("", "")],
)
def test_a_cut_out_names_the_piece_that_goes(
    welded: Joint, inspector: User, sign_in: SignIn, chosen: str, stored: str
) -> None:
    welded.piece_a = Piece.objects.create(job=welded.job, sheet=welded.sheet, mark="3", kind="elbow", nps="1")
    welded.save()
    examined(welded, inspector, "rejected")
    browser = sign_in(inspector)
    assert "side A (piece 3, elbow)" in browser.get(page(welded, "repair/")).text
    data = filled(decision="cut-out", why="Cut crooked", piece_scrapped=chosen)
    assert browser.post(page(welded, "repair/"), data).status_code == 303
    decision = RepairDecision.objects.get()
    assert decision.piece_scrapped == stored
    again = browser.get(f"{page(welded, 'repair/')}?replaces={decision.id}").text
    checked = re.findall(r'name="piece_scrapped" value="(\w+)"[^>]* checked', again)
    assert checked == ([chosen] if chosen else [])


def test_a_cut_out_and_a_reject_ask_why(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    browser = sign_in(inspector)
    answer = browser.post(page(welded, "examination/VT/"), filled(result="rejected"))
    assert answer.status_code == 422 and "Say why it is rejected" in answer.text
    assert not Examination.objects.exists()
    examined(welded, inspector, "rejected")
    answer = browser.post(page(welded, "repair/"), filled(decision="cut-out", why=" "))
    assert answer.status_code == 422 and "Say why the joint is cut out." in answer.text
    assert not RepairDecision.objects.exists()


def _cut_out(joint: Joint, by: User, reason: str, **more: Any) -> RepairDecision:
    """A cut-out as a workbook or the API brings it in, with or without a reason."""
    said = {"joint": joint, "decision": "cut-out", "by": "Ines Carrow", "done_on": days_ago(0), "reason": reason}
    (stored,) = decide_repairs([RepairDecision(**said | more)], job=joint.job, by=by)
    return stored


def _bare_cut_outs() -> list[str]:
    found = Finding.objects.filter(code="reason-missing", message__contains="cut-out")
    return list(found.values_list("record", flat=True))


def test_why_a_cut_out_is_corrected_is_not_why_it_was_cut_out(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    examined(welded, inspector, "rejected")
    first = _cut_out(welded, inspector, "")
    second = _cut_out(welded, inspector, "Wrong day", replaces=first, done_on=days_ago(1))
    assert _bare_cut_outs() == [str(second.id)]
    browser = sign_in(inspector)
    address = f"{page(welded, 'repair/')}?replaces={second.id}"
    assert 'name="why"' in browser.get(address).text
    said = filled(decision="cut-out", replaces=second.id, reason="Wrong name")
    answer = browser.post(address, said)
    assert answer.status_code == 422 and "Say why the joint is cut out." in answer.text
    assert browser.post(address, said | {"why": "Cut crooked"}).status_code == 303
    assert RepairDecision.objects.get(replaces=second).reason == "Cut crooked; corrected: Wrong name"
    assert _bare_cut_outs() == []


def test_a_cut_out_with_a_reason_keeps_it_when_its_day_is_corrected(
    welded: Joint, inspector: User, sign_in: SignIn
) -> None:
    examined(welded, inspector, "rejected")
    first = _cut_out(welded, inspector, "Cut crooked")
    browser = sign_in(inspector)
    address = f"{page(welded, 'repair/')}?replaces={first.id}"
    assert 'name="why"' not in browser.get(address).text
    said = filled(decision="cut-out", replaces=first.id, reason="Wrong day", date=str(days_ago(1)))
    assert browser.post(address, said).status_code == 303
    assert RepairDecision.objects.get(replaces=first).reason == "Wrong day"
    assert _bare_cut_outs() == []


def test_a_second_decision_is_recorded_and_told(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    examined(welded, inspector, "rejected")
    browser = sign_in(inspector)
    for decision in ("repair", "cut-out"):
        data = filled(decision=decision, why="Two heads")
        assert browser.post(page(welded, "repair/"), data).status_code == 303
    welded.refresh_from_db()
    assert (RepairDecision.objects.count(), welded.attempt) == (2, "R1")
    finding = Finding.objects.get(joint=welded, code="record-order", message__startswith="Two decisions")
    assert "the repair of" in finding.message and finding.severity == "correct"


def test_after_a_cut_out_the_fit_up_asks_for_no_planned_heat_of_the_piece_that_went(
    welded: Joint, inspector: User, engineer: User, sign_in: SignIn
) -> None:
    examined(welded, inspector, "rejected")
    browser = sign_in(inspector)
    browser.post(page(welded, "repair/"), filled(decision="cut-out", why="Crooked", piece_scrapped="B"))
    shown = browser.get(page(welded, "fit-up/")).text
    assert f"Planned: {welded.heat_a.number}" in shown
    assert f"Planned: {welded.heat_b.number}" not in shown
    other = HeatBuilder(job=welded.job, number="K99")
    data = filled(attempt="W1", gap="1/16", heat_a_read=welded.heat_a.number, heat_b_read=other.number)
    assert browser.post(page(welded, "fit-up/"), data).status_code == 303
    assert not Finding.objects.filter(joint=welded, code__startswith="heat").exists()
    save_plan([renamed(other, "A182 F11")], job=welded.job, by=engineer, reason="Read again")
    assert Finding.objects.get(joint=welded, code="material-mismatch").subject == "K99"
    assert list(differences(welded.job)) == []


def renamed(heat: Heat, material: str) -> Heat:
    heat.material = material
    return heat


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


def test_a_release_that_is_stopped_offers_no_signature_but_the_way_on(
    welded: Joint, inspector: User, sign_in: SignIn
) -> None:
    browser = sign_in(inspector)
    text = browser.get(page(welded, "release/")).text
    assert '<form method="post" novalidate' not in text
    assert f'href="{page(welded, "examination/VT/")}">Record VT' in text
    assert "finding=examination-due.0" in text
    examined(welded, inspector, "rejected")
    assert f'href="{page(welded, "repair/")}">Decide the repair' in browser.get(page(welded, "release/")).text
    refused = browser.post(page(welded, "release/"), filled(remark="Urgent")).text
    assert "Try again" in refused and 'class="main"' not in refused


def test_a_joint_not_yet_welded_offers_no_signature(joint: Joint, inspector: User, sign_in: SignIn) -> None:
    text = sign_in(inspector).get(page(joint, "release/")).text
    assert "is planned; only a welded joint can be released" in text
    assert '<form method="post" novalidate' not in text


def test_an_accepted_joint_is_released_once(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    examined(welded, inspector, "accepted")
    browser, data = sign_in(inspector), filled()
    shown = browser.get(page(welded, "release/")).text
    assert "Nothing stops this joint." in shown
    assert shown.split("<title>")[1].startswith(f"Release, joint {welded.number}")
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
