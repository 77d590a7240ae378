"""The page on which an examination is recorded."""

import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from joints.actions.record_passes import record_passes
from records.models import Examination, Job, Joint, Pass, Stamp, User
from records.models.base import new_id
from tests.builders import ConfirmationBuilder, ExaminerBuilder, days_ago

SignIn = Callable[[User], Client]


@pytest.fixture
def welded(joint: Joint, welder: User, stamp: Stamp) -> Joint:
    """Joint 14, its root and cap welded."""
    rows = [
        Pass(joint=joint, order=order, role=role, stamp=stamp, process="GTAW", done_on=days_ago(1), by="A1")
        for order, role in ((1, "root"), (2, "cap"))
    ]
    record_passes(rows, job=joint.job, by=welder)
    joint.refresh_from_db()
    return joint


def page(joint: Joint, method: str = "VT") -> str:
    return f"/jobs/{joint.job.code}/joints/{joint.id}/examination/{method}/"


def filled(**more: Any) -> dict[str, Any]:
    basics = {"attempt": "0", "date": str(days_ago(0)), "by": "Ines Carrow", "result": "accepted"}
    return {"id": str(new_id()), **basics, **more}


def test_shows_the_required_leg_and_the_examiners_own_name(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    text = sign_in(inspector).get(page(welded)).text
    assert "at least 7/32 in" in text
    assert "1.09 x 0.179 in" in text
    assert 'name="by" value="Ines Carrow"' in text


def test_puts_no_uncertified_name_where_the_job_lists_who_is_certified(
    job: Job, welded: Joint, inspector: User, sign_in: SignIn
) -> None:
    ExaminerBuilder(job=job, name="Rolf Ekdahl", method="RT")
    text = sign_in(inspector).get(page(welded, "RT")).text
    assert 'name="by" value=' not in text
    assert '<option value="Rolf Ekdahl">' in text


def test_records_a_visual_examination_with_its_measurements(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    data = filled(leg_a="1/4", leg_b="7/32", undercut="0", report="VT-101")
    assert sign_in(inspector).post(page(welded), data).status_code == 303
    stored = Examination.objects.get()
    assert (stored.leg_a_mm, stored.leg_b_mm, stored.undercut_mm) == (Decimal("6.35"), Decimal("5.55625"), 0)
    assert stored.typed == {"leg A": "1/4", "leg B": "7/32", "undercut": "0"}
    welded.refresh_from_db()
    assert welded.state == "accepted"


def test_the_examiners_verdict_counts_and_the_computed_one_stands_beside(
    welded: Joint, inspector: User, sign_in: SignIn
) -> None:
    browser = sign_in(inspector)
    browser.post(page(welded), filled(leg_a="3/16", leg_b="3/16"))
    welded.refresh_from_db()
    assert (welded.state, welded.stops) == ("accepted", 1)
    card = browser.get(f"/jobs/{welded.job.code}/joints/{welded.id}/").text
    assert "Leg 3/16 in, at least 7/32 in" in card


def test_the_example_of_an_indication_is_in_the_units_of_the_job(
    welded: Joint, inspector: User, sign_in: SignIn
) -> None:
    browser = sign_in(inspector)
    assert "undercut 1/32 in at 6, 1 in long" in browser.get(page(welded)).text
    Job.objects.filter(id=welded.job_id).update(units="SI")
    assert "undercut 0.8 mm at 6, 25 mm long" in browser.get(page(welded)).text


def test_a_film_may_have_to_be_repeated_and_an_eye_not(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    browser = sign_in(inspector)
    assert 'value="re-shoot"' in browser.get(page(welded, "RT")).text
    assert 'value="re-shoot"' not in browser.get(page(welded)).text
    assert 'name="leg_a"' not in browser.get(page(welded, "RT")).text


def test_without_a_result_nothing_is_recorded_and_the_words_stay(
    welded: Joint, inspector: User, sign_in: SignIn
) -> None:
    answer = sign_in(inspector).post(page(welded), filled(result="", indications="pore at <4:30> “x” مرحبا"))
    assert answer.status_code == 422
    assert '<a href="#id_result">' in answer.text
    assert "pore at &lt;4:30&gt; “x” مرحبا" in answer.text
    assert not Examination.objects.exists()


def test_sent_twice_it_is_one_examination(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    browser, data = sign_in(inspector), filled()
    assert [browser.post(page(welded), data).status_code for _ in range(2)] == [303, 303]
    assert Examination.objects.count() == 1


def test_a_correction_keeps_its_method(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    browser = sign_in(inspector)
    browser.post(page(welded, "leak test"), filled())
    made = Examination.objects.get()
    card = browser.get(f"/jobs/{welded.job.code}/joints/{welded.id}/").text
    address = f"{page(welded, 'leak%20test')}?replaces={made.id}"
    assert address in card
    assert browser.get(address).status_code == 200
    assert browser.get(f"{page(welded, 'VT')}?replaces={made.id}").status_code == 404


def test_a_foreman_is_offered_no_withdrawal_of_what_an_inspector_signed(
    welded: Joint, inspector: User, foreman: User, sign_in: SignIn
) -> None:
    sign_in(inspector).post(page(welded), filled())
    made = Examination.objects.get()
    card = f"/jobs/{welded.job.code}/joints/{welded.id}/"
    assert f"record={made.id}" in sign_in(inspector).get(card).text
    assert f"record={made.id}" not in sign_in(foreman).get(card).text


def test_an_unknown_method_is_absent(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    assert sign_in(inspector).get(page(welded, "XX")).status_code == 404


@pytest.mark.parametrize("who", ["welder", "foreman", "client_person"])
def test_those_who_may_not_examine_are_refused(
    who: str, welded: Joint, sign_in: SignIn, request: pytest.FixtureRequest
) -> None:
    browser = sign_in(request.getfixturevalue(who))
    assert browser.get(page(welded)).status_code == 403
    assert browser.post(page(welded), filled()).status_code == 403
    assert not Examination.objects.exists()


def test_a_foreign_joint_is_absent(welded: Joint, visitor: User, sign_in: SignIn) -> None:
    assert sign_in(visitor).post(page(welded), filled()).status_code == 404


def test_an_entry_is_judged_before_it_is_recorded(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    # ASME B31.3 Fig. 328.5.2C: 1.09 x 0.179 in = 0.195 in, so a leg of 3/16 in is too small.
    browser = sign_in(inspector)
    answer = browser.post(page(welded), filled(leg_a="3/16", leg_b="1/4", result="", preview="1"))
    assert answer.status_code == 200
    assert "This entry would show 1 finding." in answer.text
    assert "Leg 3/16 in, at least 7/32 in" in answer.text
    assert not Examination.objects.exists()


def test_an_entry_within_its_limits_says_so_before_it_is_recorded(
    welded: Joint, inspector: User, sign_in: SignIn
) -> None:
    answer = sign_in(inspector).post(page(welded), filled(leg_a="1/4", leg_b="1/4", preview="1"))
    assert "Nothing in this entry is out of its limits." in answer.text


def test_what_cannot_be_read_is_said_while_it_is_typed(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    answer = sign_in(inspector).post(page(welded), filled(leg_a="a quarter", by="", preview="1"))
    assert "Leg A (in): &quot;a quarter&quot; is not a length" in answer.text
    assert "missing" not in answer.text  # what is still empty is not at fault yet
    assert not Examination.objects.exists()


def test_shows_the_limits_of_imperfections_for_the_method(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    # ASME B31.3 Table 341.3.2, fillet in Normal service: undercut H, reinforcement L; no radiographic criterion but
    # crack, lack of fusion and undercut.
    browser = sign_in(inspector)
    seen, filmed = browser.get(page(welded)).text, browser.get(page(welded, "RT")).text
    assert "Reinforcement or protrusion" in seen and "Reinforcement or protrusion" not in filmed
    assert "Lack of fusion" in filmed and "Incomplete penetration" not in filmed


def test_each_limit_of_an_imperfection_says_who_confirmed_its_table(
    welded: Joint, inspector: User, sign_in: SignIn
) -> None:
    browser = sign_in(inspector)
    sources = re.compile(r'<p class="small">([^<]*Table 341\.3\.2[^<]*)</p>')
    before = sources.findall(browser.get(page(welded)).text)
    assert len(before) > 3 and all(one.endswith("· unconfirmed") for one in before)
    # Its letter and the figure of that letter: both tables.
    for table in ("acceptance_b31_3", "acceptance_limits_b31_3"):
        ConfirmationBuilder(job=welded.job, table=table, edition=welded.job.edition)
    after = sources.findall(browser.get(page(welded)).text)
    assert len(after) == len(before) and all("· confirmed by" in one for one in after)


def test_a_verdict_that_differs_from_the_table_is_noted_and_counts(
    welded: Joint, inspector: User, sign_in: SignIn
) -> None:
    browser = sign_in(inspector)
    assert browser.post(page(welded), filled(indications="crack at 4:30")).status_code == 303
    welded.refresh_from_db()
    assert (welded.state, welded.stops, welded.notes) == ("accepted", 0, 1)
    card = browser.get(f"/jobs/{welded.job.code}/joints/{welded.id}/").text
    assert "accepted the weld, and crack at 4:30 is over the table" in card


def test_what_no_limit_decides_is_said_while_it_is_typed(welded: Joint, inspector: User, sign_in: SignIn) -> None:
    typed = filled(leg_a="1/4", leg_b="1/4", indications="undercut, long", result="", preview="1")
    answer = sign_in(inspector).post(page(welded), typed)
    assert "Nothing that could be held against a limit is out of it." in answer.text
    assert "undercut, long: not decided here." in answer.text
    assert "No result is chosen yet" in answer.text
