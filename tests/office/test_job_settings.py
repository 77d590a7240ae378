"""The settings of a job: what may change, who may, what is judged again, and what the journal says."""

from dataclasses import replace
from decimal import Decimal

import pytest
from django.urls import reverse

from joints.queries.routes import setting_of
from office.actions.change_job import JobSettings, change_job, settings_of
from records.models import Job, Joint, JournalEntry, Route, Sheet, User
from records.refusals import Implausible, NotAllowed
from rules.route.geometry import shape_of_text
from tests.builders import SheetBuilder
from tests.conftest import SignIn

pytestmark = pytest.mark.django_db
REASON = "As agreed with the owner."


def entries(job: Job) -> list[JournalEntry]:
    return list(JournalEntry.objects.filter(job=job, kind="job").order_by("number"))


def typed(settings: JobSettings, **other: str) -> dict[str, str]:
    """The form as it is sent."""
    sent = {
        name: str(getattr(settings, name) or "") for name in JobSettings.__slots__ if name != "second_factor_demanded"
    }
    return sent | other


def test_changes_settings_with_a_reason_and_writes_the_journal(job: Job, engineer: User) -> None:
    wanted = replace(settings_of(job), name="Brine return", time_zone="Europe/Oslo")
    assert change_job(wanted, job=job, by=engineer, reason=REASON) == ("name", "time_zone")
    job.refresh_from_db()
    assert (job.name, job.time_zone) == ("Brine return", "Europe/Oslo")
    [entry] = entries(job)
    assert '"name":"Brine return"' in entry.payload and entry.reason == REASON


def test_twice_is_once(job: Job, engineer: User) -> None:
    wanted = replace(settings_of(job), site="Yard 4")
    for _ in range(2):
        change_job(wanted, job=job, by=engineer, reason=REASON)
    assert len(entries(job)) == 1


def test_units_change_until_joints_stand(job: Job, engineer: User) -> None:
    change_job(replace(settings_of(job), units="SI"), job=job, by=engineer, reason=REASON)
    assert Job.objects.get(pk=job.pk).units == "SI"


def test_units_stay_once_joints_stand_and_it_says_why(job: Job, joint: Joint, engineer: User) -> None:
    with pytest.raises(Implausible, match="The units stay US: joints stand, and every figure of them was typed"):
        change_job(replace(settings_of(job), units="SI"), job=job, by=engineer, reason=REASON)
    assert Job.objects.get(pk=job.pk).units == "US" and entries(job) == []


def test_units_stay_once_a_route_stands_and_it_says_why(engineer: User, job: Job) -> None:
    sheet = SheetBuilder.create(line__job=job)
    Route.objects.create(job=job, sheet=sheet, text="start\nrun north 48\nopen end\n")
    with pytest.raises(Implausible, match="The units stay US: routes stand, and numbers without a unit in them"):
        change_job(replace(settings_of(job), units="SI"), job=job, by=engineer, reason=REASON)
    assert Job.objects.get(pk=job.pk).units == "US"


# ASME B16.5, NPS 1 Class 150 weld neck: 2.12 in and a raised face of 0.06 in from 2003 on, 2.19 in to it before. Root
# opening 1/8 in.
@pytest.mark.parametrize(("edition", "cut"), [("", "45.695"), ("2003", "45.695"), ("1996", "45.685")])
def test_a_flange_of_a_route_is_as_long_as_its_edition_says(engineer: User, job: Job, edition: str, cut: str) -> None:
    sheet = SheetBuilder.create(line__job=job, line__nps="1", line__schedule="80")
    change_job(replace(settings_of(job), flanges_edition=edition, site="Yard 4"), job=job, by=engineer, reason=REASON)
    text = "ends butt\nstart\nrun north 48\nflange 150\n"
    shape = shape_of_text(text, setting_of(Sheet.objects.get(pk=sheet.pk)))
    (pipe,) = shape.pipes
    assert pipe.cut_mm == Decimal(cut) * Decimal("25.4")


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"name": " "}, "name"),
        ({"time_zone": "Atlantis"}, "time_zone"),
        ({"units": "cubits"}, "units"),
        ({"recording": "now and then"}, "recording"),
        ({"repairs_max": 100}, "repairs_max"),
        ({"edition": ""}, "edition"),
        ({"welders_edition": "1492"}, "welders_edition"),
        ({"certificates_edition": "1492"}, "certificates_edition"),
        ({"certificates_rounding": "upwards"}, "certificates_rounding"),
        ({"first_batch": "some"}, "first_batch"),
        ({"flanges_edition": "1988"}, "flanges_edition"),
        ({"transport_envelope": "a lorry"}, "transport_envelope"),
    ],
)
def test_refuses_what_cannot_be(job: Job, engineer: User, wrong: dict, field: str) -> None:
    with pytest.raises(Implausible) as refusal:
        change_job(replace(settings_of(job), **wrong), job=job, by=engineer, reason=REASON)
    assert [fault.field for fault in refusal.value.faults] == [field]
    assert entries(job) == []


def test_refuses_a_change_without_a_reason(job: Job, engineer: User) -> None:
    with pytest.raises(Implausible, match="Say why the settings change."):
        change_job(replace(settings_of(job), site="Yard 4"), job=job, by=engineer, reason=" ")


def test_the_second_factor_is_for_whoever_manages_people(job: Job, engineer: User, administrator: User) -> None:
    wanted = replace(settings_of(job), second_factor_demanded=True)
    with pytest.raises(NotAllowed):
        change_job(wanted, job=job, by=engineer, reason=REASON)
    assert change_job(wanted, job=job, by=administrator, reason=REASON) == ("second_factor_demanded",)


def test_nobody_else_changes_a_setting(job: Job, foreman: User, inspector: User, owner: User) -> None:
    for person in (foreman, inspector, owner):
        with pytest.raises(NotAllowed):
            change_job(replace(settings_of(job), site="Yard 4"), job=job, by=person, reason=REASON)
    assert entries(job) == []


def test_joints_are_judged_again_by_the_new_settings(job: Job, joint: Joint, engineer: User, sign_in: SignIn) -> None:
    page = f"/jobs/{job.code}/joints/{joint.id}/"
    desk = sign_in(engineer)
    Joint.objects.filter(pk=joint.pk).update(state="welded")  # stored otherwise than its records say
    change_job(replace(settings_of(job), edition="2016"), job=job, by=engineer, reason=REASON)
    joint.refresh_from_db()
    assert joint.state == "planned"
    assert desk.get(page).status_code == 200


def test_the_page_changes_and_says_what(job: Job, engineer: User, sign_in: SignIn) -> None:
    page, desk = reverse("job-settings", args=[job.code]), sign_in(engineer)
    shown = desk.get(page).text
    assert "an administrator sets it" in shown and 'href="/jobs/HW-7/specification/"' in shown
    sent = typed(settings_of(job), site="Yard 4", reason=REASON)
    assert desk.post(page, sent).status_code == 303
    assert "Changed: Site." in desk.get(page).text
    assert "The settings stand so already." in desk.post(page, sent, follow=True).text


def test_the_page_keeps_the_units_whatever_is_sent(job: Job, joint: Joint, engineer: User, sign_in: SignIn) -> None:
    page, desk = reverse("job-settings", args=[job.code]), sign_in(engineer)
    assert "Fixed: joints stand" in desk.get(page).text
    desk.post(page, typed(settings_of(job), units="SI", reason=REASON))
    assert Job.objects.get(pk=job.pk).units == "US" and entries(job) == []


def test_the_page_says_what_is_wrong_and_keeps_what_was_typed(job: Job, engineer: User, sign_in: SignIn) -> None:
    page = reverse("job-settings", args=[job.code])
    answer = sign_in(engineer).post(page, typed(settings_of(job), time_zone="Atlantis"))
    assert answer.status_code == 422
    assert "There is no time zone “Atlantis”." in answer.text and "Say why the settings change." in answer.text
    assert 'value="Atlantis"' in answer.text


def test_an_administrator_demands_the_second_factor(
    job: Job, administrator: User, foreman: User, sign_in: SignIn
) -> None:
    sent = typed(settings_of(job), second_factor_demanded="on", reason=REASON)
    sign_in(administrator).post(reverse("job-settings", args=[job.code]), sent)
    assert sign_in(foreman).get(f"/jobs/{job.code}/").headers["Location"].startswith("/account/second-factor/")
