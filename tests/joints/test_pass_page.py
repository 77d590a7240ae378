"""The page on which a pass is recorded."""

import json
import re
from collections.abc import Callable
from decimal import Decimal
from html import unescape
from typing import Any

from django.test import Client

from records.models import FillerLot, Job, Joint, Pass, Procedure, Stamp, User
from records.models.base import new_id
from records.templatetags.spoolbook import day
from tests.builders import FillerLotBuilder, days_ago

SignIn = Callable[[User], Client]


def page(joint: Joint) -> str:
    return f"/jobs/{joint.job.code}/joints/{joint.id}/pass/"


def filled(**more: Any) -> dict[str, Any]:
    basics = {"order": "1", "role": "root", "stamp": "A1", "process": "GTAW"}
    return {"id": str(new_id()), "attempt": "0", "date": str(days_ago(0)), **basics, **more}


def test_proposes_the_root_under_the_persons_own_stamp(
    joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn
) -> None:
    text = sign_in(welder).get(page(joint)).text
    assert re.search(r'<input type="radio" name="role" value="root"[^>]* checked', text)
    assert 'name="stamp" value="A1"' in text
    assert "80 to 150 A for the root" in text
    assert "Record pass 1 as A1" in text


def test_proposes_the_cap_after_the_root_and_offers_last_values(
    joint: Joint, welder: User, stamp: Stamp, filler_lot: FillerLot, sign_in: SignIn
) -> None:
    browser = sign_in(welder)
    browser.post(page(joint), filled(amps="112", filler_lot=str(filler_lot.id)))
    text = browser.get(page(joint)).text
    assert "80 to 150 A for the cap" in text
    assert "80 to 150 A for the cap · last 112" in text
    assert '<datalist id="last-amps"><option value="112">' in text
    assert f'<option value="{filler_lot.id}" selected>' in text
    assert 'name="amps" value=' not in text


def test_a_pass_that_is_half_round_goes_on_and_another_kind_is_the_next(
    joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn
) -> None:
    browser = sign_in(welder)
    browser.post(page(joint), filled(start="12", stop="6"))
    text = browser.get(page(joint)).text
    assert re.search(r'<input type="radio" name="role" value="root"[^>]* checked', text)
    assert "Record pass 1 as A1" in text
    proposed = re.search(r'name="(initial-order)"[^>]*value="(\d+)"|value="(\d+)"[^>]*name="initial-order"', text)
    assert proposed and (proposed[2] or proposed[3]) == "1"
    fill = filled(role="fill") | {"initial-order": "1"}
    assert [browser.post(page(joint), fill).status_code for _ in range(2)] == [303, 303]
    # On a page that was opened before the fill was welded, and by a number that somebody wrote.
    assert browser.post(page(joint), filled(role="cap") | {"initial-order": "1"}).status_code == 303
    browser.post(page(joint), filled(start="6", stop="12"))
    made = Pass.objects.order_by("order", "start_degrees").values_list("role", "order")
    assert list(made) == [("root", 1), ("root", 1), ("fill", 2), ("cap", 3)]


def test_records_the_pass_with_its_parameters(
    joint: Joint, welder: User, stamp: Stamp, filler_lot: FillerLot, procedure: Procedure, sign_in: SignIn
) -> None:
    data = filled(amps="112 A", preheat="68", start="3", stop="4:30", filler_lot=str(filler_lot.id), travel="4 ipm")
    assert sign_in(welder).post(page(joint), data).status_code == 303
    stored = Pass.objects.get()
    assert (stored.amps, stored.preheat_c, stored.travel_mm_min) == (112, 20, Decimal("101.6"))
    assert (stored.start_degrees, stored.stop_degrees) == (90, 135)
    assert (stored.by, stored.stamp, stored.procedure, stored.filler_lot) == ("A1", stamp, procedure, filler_lot)
    assert stored.typed["start"] == "3"


def test_an_unqualified_welders_pass_is_recorded_and_flagged(
    joint: Joint, welder: User, unqualified_stamp: Stamp, sign_in: SignIn
) -> None:
    assert sign_in(welder).post(page(joint), filled(stamp="B2")).status_code == 303
    joint.refresh_from_db()
    assert joint.stops == 1


def test_a_value_that_can_not_be_is_refused_at_its_field(
    joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn
) -> None:
    answer = sign_in(welder).post(page(joint), filled(amps="14000", role="fill"))
    assert answer.status_code == 422
    assert '<a href="#id_amps">' in answer.text
    assert "1 to 1400 A" in answer.text
    assert 'value="14000"' in answer.text
    assert not Pass.objects.exists()


def test_a_start_without_a_stop_is_asked_back(joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn) -> None:
    answer = sign_in(welder).post(page(joint), filled(start="3"))
    assert answer.status_code == 422
    assert "Say where the pass stopped too" in answer.text


def test_a_form_without_kind_or_stamp_links_to_each(joint: Joint, welder: User, sign_in: SignIn) -> None:
    answer = sign_in(welder).post(page(joint), filled(role="", stamp=""))
    assert answer.status_code == 422
    for field in ("role", "stamp"):
        assert f'<a href="#id_{field}">' in answer.text
        assert f'id="id_{field}"' in answer.text


def test_sent_twice_it_is_one_pass(joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn) -> None:
    browser, data = sign_in(welder), filled(date=str(days_ago(1)), time="09:15")
    assert [browser.post(page(joint), data).status_code for _ in range(2)] == [303, 303]
    assert Pass.objects.count() == 1


def test_a_correction_starts_from_what_was_recorded(joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn) -> None:
    browser = sign_in(welder)
    browser.post(page(joint), filled(amps="211", start="3", stop="3"))
    wrong = Pass.objects.get()
    form = browser.get(f"{page(joint)}?replaces={wrong.id}").text
    assert 'value="211"' in form
    assert "Correct pass 1" in form
    browser.post(page(joint), filled(amps="112", replaces=str(wrong.id), reason="Misread"))
    assert Pass.objects.get(replaces=wrong).amps == 112


def test_an_inspector_may_not_record_a_pass(joint: Joint, inspector: User, stamp: Stamp, sign_in: SignIn) -> None:
    assert sign_in(inspector).get(page(joint)).status_code == 403
    assert sign_in(inspector).post(page(joint), filled()).status_code == 403
    assert not Pass.objects.exists()


def test_a_job_that_records_parameters_asks_for_them_first(
    joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn
) -> None:
    browser = sign_in(welder)
    assert 'name="amps"' in browser.get(page(joint)).text.split('<details class="more"')[1]
    Job.objects.filter(id=joint.job_id).update(recording="parameters")
    assert 'name="amps"' in browser.get(page(joint)).text.split('<details class="more"')[0]


def test_the_dial_gets_the_places_of_the_passes_before(
    joint: Joint, welder: User, stamp: Stamp, procedure: Procedure, sign_in: SignIn
) -> None:
    procedure.stop_spacing_min_degrees = Decimal(30)
    procedure.save()
    browser = sign_in(welder)
    browser.post(page(joint), filled(start="3", stop="4"))
    holder = re.search(r'data-dial="([^"]*)"', browser.get(page(joint)).text)
    assert holder is not None
    told = json.loads(unescape(holder[1]))
    assert told == {"least": 30.0, "before": [{"order": 1, "start": 90.0, "stop": 120.0}]}


def test_says_which_repair_a_pass_belongs_to(joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn) -> None:
    Joint.objects.filter(id=joint.id).update(attempt="R1")
    assert "Record pass 1 of repair 1" in sign_in(welder).get(page(joint)).text


def test_a_lot_is_offered_with_the_size_of_its_wire(joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn) -> None:
    FillerLotBuilder(job=joint.job, number="F-9", diameter_mm=Decimal("2.38125"))
    FillerLotBuilder(job=joint.job, number="F-8")
    text = sign_in(welder).get(page(joint)).text
    assert "F-9 · ER70S-6 3/32 in</option>" in text and "F-8 · ER70S-6</option>" in text


def test_never_proposes_a_lot_of_a_filler_the_procedure_does_not_ask_for(
    joint: Joint, welder: User, stamp: Stamp, filler_lot: FillerLot, sign_in: SignIn
) -> None:
    stainless = FillerLot.objects.create(job=joint.job, number="A-1", classification="ER316L")
    browser = sign_in(welder)
    browser.post(page(joint), filled(filler_lot=str(stainless.id)))
    text = browser.get(page(joint)).text
    assert f'<option value="{stainless.id}">' in text
    assert text.index(str(filler_lot.id)) < text.index(str(stainless.id)), "what the procedure asks for stands first"


def test_the_card_and_the_findings_tell_the_time_of_day_on_site(
    joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn
) -> None:
    Job.objects.filter(id=joint.job_id).update(time_zone="America/Denver")
    browser = sign_in(welder)
    browser.post(page(joint), filled(date=str(days_ago(2)), time="07:42"))
    browser.post(f"/jobs/{joint.job.code}/joints/{joint.id}/fit-up/", {
        "id": str(new_id()), "attempt": "0", "date": str(days_ago(1)), "time": "06:05", "gap": "1/16", "by": "A1",
    })  # fmt: skip
    text = browser.get(f"/jobs/{joint.job.code}/joints/{joint.id}/").text
    assert " 07:42</span>" in text
    assert " 06:05</span>" in text
    assert f"{day(days_ago(2))} 07:42" in text, "the finding on their order"
    assert "13:42" not in text
    assert "14:42" not in text
