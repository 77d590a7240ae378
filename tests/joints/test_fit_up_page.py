"""The page on which a fit-up is recorded."""

import json
import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from records.models import FitUp, Job, Joint, JournalEntry, Stamp, User
from records.models.base import new_id
from records.templatetags.spoolbook import day
from tests.builders import JointBuilder, SheetBuilder, days_ago

SignIn = Callable[[User], Client]


def page(joint: Joint) -> str:
    return f"/jobs/{joint.job.code}/joints/{joint.id}/fit-up/"


def filled(**more: Any) -> dict[str, Any]:
    return {"id": str(new_id()), "attempt": "0", "date": str(days_ago(0)), "gap": "1/16", "by": "A1", **more}


def test_shows_the_limits_before_anything_is_typed(joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn) -> None:
    text = sign_in(welder).get(page(joint)).text
    assert "1/32 to 1/8 in" in text
    assert "<b>leg at least 7/32 in</b>" in text, "what is set and left before welding stands over the form"
    assert f"Planned: {joint.heat_a.number}" in text
    assert 'value="A1"' in text


def test_records_what_was_typed_and_goes_on_to_the_card(
    joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn
) -> None:
    browser = sign_in(welder)
    data = filled(
        gap="1/16",
        gap_12='3/32"',
        high_low="0.5 mm",
        tack_stamp="a1",
        heat_a_read=joint.heat_a.number,
        date=str(days_ago(1)),
        time="07:42",
    )
    answer = browser.post(page(joint), data)
    assert answer.status_code == 303
    assert answer.headers["Location"] == f"/jobs/{joint.job.code}/joints/{joint.id}/"
    stored = FitUp.objects.get()
    assert (stored.gap_mm, stored.gap_12_mm, stored.high_low_mm) == (
        Decimal("1.5875"),
        Decimal("2.38125"),
        Decimal("0.5"),
    )
    assert stored.typed == {"gap": "1/16", "gap 12": '3/32"', "high-low": "0.5 mm"}
    assert (stored.tack_stamp, stored.by, stored.recorded_by) == (stamp, "A1", welder)
    assert stored.done_at is not None
    assert "Fit-up recorded." in browser.get(answer.headers["Location"]).text


def test_a_gap_out_of_limits_is_recorded_and_flagged(joint: Joint, welder: User, sign_in: SignIn) -> None:
    assert sign_in(welder).post(page(joint), filled(gap="3/16")).status_code == 303
    joint.refresh_from_db()
    assert (joint.state, joint.corrects) == ("fitted", 1)


def test_a_gap_that_cannot_be_is_told_in_the_units_of_the_job(joint: Joint, welder: User, sign_in: SignIn) -> None:
    answer = sign_in(welder).post(page(joint), filled(gap="99"))
    assert answer.status_code == 422
    assert "A gap of 99 in can&#x27;t be. Accepted: 0 to about 2 in (50 mm)." in answer.text


@pytest.mark.parametrize(("typed", "point"), [("1,6", "1.6"), ("0,125 in", "0.125 in"), ("2,38 mm", "2.38 mm")])
def test_a_decimal_comma_of_a_phones_pad_is_a_point(
    joint: Joint, welder: User, sign_in: SignIn, typed: str, point: str
) -> None:
    assert sign_in(welder).post(page(joint), filled(gap=typed)).status_code == 303
    assert FitUp.objects.get().typed == {"gap": point}


def test_a_comma_that_may_part_thousands_is_refused(joint: Joint, welder: User, sign_in: SignIn) -> None:
    assert sign_in(welder).post(page(joint), filled(gap="1,600")).status_code == 422


def test_a_wrong_form_keeps_what_was_typed_and_says_it_at_the_field(
    joint: Joint, welder: User, sign_in: SignIn
) -> None:
    answer = sign_in(welder).post(page(joint), filled(gap="about so", heat_a_read='K"4<1>', squareness="1/3"))
    assert answer.status_code == 422
    assert not FitUp.objects.exists()
    text = answer.text
    assert 'value="about so"' in text
    assert "K&quot;4&lt;1&gt;" in text
    assert 'id="faults" tabindex="-1" autofocus' in text
    assert '<a href="#id_gap">' in text
    said = "&quot;about so&quot; is not a length"
    assert text.count(said) == 2
    assert 'aria-invalid="true"' in text
    assert 'aria-describedby="id_gap_helptext id_gap_error"' in text
    assert 'id="id_gap_error"' in text
    assert '<details class="more" open>' in text


def test_a_day_in_the_future_is_refused_at_its_field(joint: Joint, welder: User, sign_in: SignIn) -> None:
    answer = sign_in(welder).post(page(joint), filled(date=str(days_ago(-1))))
    assert answer.status_code == 422
    assert f"The date {day(days_ago(-1))} is in the future" in answer.text
    assert '<a href="#id_date">' in answer.text
    assert not FitUp.objects.exists()


def test_an_unknown_stamp_is_refused(joint: Joint, welder: User, sign_in: SignIn) -> None:
    answer = sign_in(welder).post(page(joint), filled(tack_stamp="Z99"))
    assert answer.status_code == 422
    assert "Z99 is no stamp of this job" in answer.text


def test_sent_twice_it_is_one_record_and_one_entry(joint: Joint, welder: User, sign_in: SignIn) -> None:
    browser, data = sign_in(welder), filled()
    assert [browser.post(page(joint), data).status_code for _ in range(2)] == [303, 303]
    assert FitUp.objects.count() == 1
    assert JournalEntry.objects.filter(kind="fitup").count() == 1


def test_the_same_identity_with_other_content_is_told(joint: Joint, welder: User, sign_in: SignIn) -> None:
    browser, data = sign_in(welder), filled()
    browser.post(page(joint), data)
    answer = browser.post(page(joint), data | {"gap": "1/8"})
    assert answer.status_code == 409
    assert "already sent with other content" in answer.text
    assert 'value="1/8"' in answer.text
    assert FitUp.objects.count() == 1


def test_a_correction_starts_from_what_was_recorded_and_needs_its_reason(
    joint: Joint, welder: User, sign_in: SignIn
) -> None:
    browser = sign_in(welder)
    browser.post(page(joint), filled(gap="3/16"))
    wrong = FitUp.objects.get()
    form = browser.get(f"{page(joint)}?replaces={wrong.id}").text
    assert 'value="3/16"' in form
    assert "What was wrong" in form
    correction = filled(gap="1/16", replaces=str(wrong.id))
    assert browser.post(page(joint), correction).status_code == 422
    assert browser.post(page(joint), correction | {"reason": "Wrong gauge"}).status_code == 303
    assert FitUp.objects.get(replaces=wrong).reason == "Wrong gauge"


def test_a_record_of_another_joint_can_not_be_corrected_here(joint: Joint, welder: User, sign_in: SignIn) -> None:
    browser = sign_in(welder)
    browser.post(page(joint), filled())
    other = JointBuilder(sheet=joint.sheet)
    assert browser.get(f"{page(other)}?replaces={FitUp.objects.get().id}").status_code == 404
    assert browser.get(f"{page(other)}?replaces=nonsense").status_code == 404


@pytest.mark.parametrize("who", ["client_person", "owner", "administrator"])
def test_those_who_may_not_are_refused_and_nothing_is_written(
    who: str, joint: Joint, sign_in: SignIn, request: pytest.FixtureRequest
) -> None:
    browser = sign_in(request.getfixturevalue(who))
    assert browser.get(page(joint)).status_code == 403
    assert browser.post(page(joint), filled()).status_code == 403
    assert not FitUp.objects.exists()


def test_a_foreign_joint_is_absent(joint: Joint, visitor: User, other_job: Job, sign_in: SignIn) -> None:
    browser = sign_in(visitor)
    assert browser.post(page(joint), filled()).status_code == 404
    assert browser.post(f"/jobs/{other_job.code}/joints/{joint.id}/fit-up/", filled()).status_code == 404
    assert not FitUp.objects.exists()


def test_a_metric_job_takes_bare_figures_as_millimetres(joint: Joint, welder: User, sign_in: SignIn) -> None:
    Job.objects.filter(id=joint.job_id).update(units="SI")
    assert sign_in(welder).post(page(joint), filled(gap="1.6")).status_code == 303
    assert FitUp.objects.get().gap_mm == Decimal("1.6")


def test_a_stranger_is_sent_to_the_door(joint: Joint) -> None:
    answer = Client().get(page(joint))
    assert (answer.status_code, answer.headers["Location"].split("?")[0]) == (302, "/sign-in/")


def test_a_sheet_without_revision_asks_for_none(joint: Joint, welder: User, sign_in: SignIn) -> None:
    bare = JointBuilder(sheet=SheetBuilder(line=joint.line, revision=""), procedure=None, heat_a=None, heat_b=None)
    text = sign_in(welder).get(page(bare)).text
    assert "No procedure is set for this joint." in text
    assert "Planned:" not in text


def test_what_a_form_brings_to_a_device_ends_no_tag(joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn) -> None:
    hostile = "</template><script>alert(1)</script>&lt;\u2028\"'"
    joint.heat_a.number = hostile
    joint.heat_a.save()
    text = sign_in(welder).get(page(joint)).text
    [brought] = re.findall(r'<template id="carried">(.*?)</template>', text, re.DOTALL)
    told = json.loads(brought)
    assert not set("<>&") & set(brought)
    assert [hostile] in [one["bounds"] for one in told["requirements"]]
    assert {one["code"] for one in told["requirements"]} >= {"gap-out-of-range", "tacker-not-qualified"}
