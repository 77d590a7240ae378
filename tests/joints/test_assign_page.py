"""The page on which a welder is assigned."""

from collections.abc import Callable
from typing import Any

from django.test import Client

from records.models import Assignment, Joint, ProcedurePass, Stamp, User
from records.models.base import new_id

SignIn = Callable[[User], Client]


def page(joint: Joint) -> str:
    return f"/jobs/{joint.job.code}/joints/{joint.id}/assign/"


def chosen(stamp: Stamp, **more: Any) -> dict[str, Any]:
    return {"id": str(new_id()), "attempt": "0", "stamp": str(stamp.id), **more}


def test_says_who_may_weld_and_why_not_the_others(
    joint: Joint, foreman: User, stamp: Stamp, unqualified_stamp: Stamp, sign_in: SignIn
) -> None:
    text = sign_in(foreman).get(page(joint)).text
    assert text.index("Arne Lindqvist") < text.index("Bo Krantz")
    assert "may weld this joint" in text
    assert "B2 has no GTAW qualification." in text


def test_says_of_which_part_of_the_joint_a_welder_may_not(
    joint: Joint, foreman: User, stamp: Stamp, sign_in: SignIn
) -> None:
    procedure = joint.procedure
    assert procedure is not None
    ProcedurePass.objects.create(
        id=new_id(), job=joint.job, procedure=procedure, role="cap", process="SMAW", filler="E7018", f_number="4"
    )
    text = sign_in(foreman).get(page(joint)).text
    assert "may weld part of this joint" in text and "may weld this joint" not in text
    assert f"SMAW: {stamp.code} has no SMAW qualification." in text


def test_assigns_a_qualified_welder(joint: Joint, foreman: User, stamp: Stamp, sign_in: SignIn) -> None:
    assert sign_in(foreman).post(page(joint), chosen(stamp)).status_code == 303
    joint.refresh_from_db()
    assert joint.assigned == stamp
    assert Assignment.objects.get().by == "Frida Holm"


def test_an_unqualified_one_needs_a_written_reason(
    joint: Joint, foreman: User, unqualified_stamp: Stamp, sign_in: SignIn
) -> None:
    browser = sign_in(foreman)
    answer = browser.post(page(joint), chosen(unqualified_stamp))
    assert answer.status_code == 422
    assert '<a href="#id_override_reason">' in answer.text
    assert "checked" in answer.text
    assert not Assignment.objects.exists()
    reason = {"override_reason": "Tack only, under A1’s eyes"}
    assert browser.post(page(joint), chosen(unqualified_stamp, **reason)).status_code == 303
    assert Assignment.objects.get().override_reason == reason["override_reason"]
    card = sign_in(foreman).get(f"/jobs/{joint.job.code}/joints/{joint.id}/").text
    assert ", with a written reason</b>" in card


def test_nobody_chosen_is_asked_back(joint: Joint, foreman: User, stamp: Stamp, sign_in: SignIn) -> None:
    answer = sign_in(foreman).post(page(joint), {"id": str(new_id()), "attempt": "0"})
    assert answer.status_code == 422
    assert "Choose a welder." in answer.text


def test_a_double_click_assigns_once(joint: Joint, foreman: User, stamp: Stamp, sign_in: SignIn) -> None:
    browser, data = sign_in(foreman), chosen(stamp)
    assert [browser.post(page(joint), data).status_code for _ in range(2)] == [303, 303]
    assert Assignment.objects.count() == 1


def test_a_welder_may_not_assign(joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn) -> None:
    assert sign_in(welder).get(page(joint)).status_code == 403
    assert sign_in(welder).post(page(joint), chosen(stamp)).status_code == 403
    assert not Assignment.objects.exists()


def test_a_stamp_of_another_job_is_no_choice(joint: Joint, foreman: User, visitor: User, sign_in: SignIn) -> None:
    answer = sign_in(foreman).post(page(joint), {"id": str(new_id()), "attempt": "0", "stamp": str(new_id())})
    assert answer.status_code == 422
    assert not Assignment.objects.exists()
