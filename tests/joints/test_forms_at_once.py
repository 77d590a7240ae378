"""A form that comes back says everything that is wrong with it at once, even where nothing at all was sent."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from joints.actions.record_fit_ups import record_fit_ups
from records.clock import has_unknown_zone, zone_of
from records.models import Assignment, FitUp, Job, Joint, Pass, Stamp, User
from records.models.base import new_id
from tests.builders import days_ago
from tests.conftest import SignIn

pytestmark = pytest.mark.django_db


def page(joint: Joint, rest: str) -> str:
    return f"/jobs/{joint.job.code}/joints/{joint.id}/{rest}"


def filled(**more: Any) -> dict[str, Any]:
    return {"id": str(new_id()), "attempt": "0", "date": str(days_ago(0)), "by": "A1", **more}


def test_what_can_not_be_read_and_what_can_not_be_are_told_together(
    joint: Joint, welder: User, sign_in: SignIn
) -> None:
    data = filled(gap="about so", squareness="99", date=str(days_ago(-1)), tack_stamp="Z99")
    text = sign_in(welder).post(page(joint, "fit-up/"), data).text
    for said in ("is not a length", "A squareness of 99 in can&#x27;t be", "is in the future", "Z99 is no stamp"):
        assert said in text


def test_a_pass_without_number_and_stamp_still_has_its_current_looked_at(
    joint: Joint, welder: User, stamp: Stamp, sign_in: SignIn
) -> None:
    data = filled(role="cap", process="GTAW", amps="20000", order="", stamp="")
    text = sign_in(welder).post(page(joint, "pass/"), data).text
    assert "Amps of 20000 A can&#x27;t be" in text
    assert "Pass number: this is missing." in text and "Welded by (stamp): this is missing." in text
    assert text.count("is no place in the order of passes") == 0
    assert not Pass.objects.exists()


@pytest.mark.parametrize(
    ("rest", "says"),
    [
        ("fit-up/", "Day: this is missing."),
        ("pass/", "Pass number: this is missing."),
        ("examination/VT/", "Say the result."),
        ("repair/", "Choose one."),
        ("release/", "By: this is missing."),
        ("assign/", "Choose a welder."),
    ],
)
def test_an_empty_form_whose_token_came_in_the_header_says_what_is_missing(
    joint: Joint, engineer: User, stamp: Stamp, rest: str, says: str
) -> None:
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(engineer, backend="django.contrib.auth.backends.ModelBackend")
    browser.get(page(joint, "fit-up/"))
    answer = browser.post(page(joint, rest), headers={"X-CSRFToken": browser.cookies["csrftoken"].value})
    assert answer.status_code == 422
    assert says in answer.text


def test_keeps_the_time_that_the_device_claims_beside_the_servers(joint: Joint, welder: User, sign_in: SignIn) -> None:
    claimed = timezone.now() - timedelta(hours=3)
    browser, data = sign_in(welder), filled(gap="1/16", device_at=claimed.isoformat())
    assert browser.post(page(joint, "fit-up/"), data).status_code == 303
    assert FitUp.objects.get().device_at == claimed
    later = data | {"device_at": timezone.now().isoformat()}
    assert browser.post(page(joint, "fit-up/"), later).status_code == 303, "sent again a moment later it is the same"
    assert FitUp.objects.get().device_at == claimed


def test_a_device_that_claims_nonsense_is_not_held_against_its_owner(
    joint: Joint, welder: User, sign_in: SignIn
) -> None:
    data = filled(gap="1/16", device_at="half past nine")
    assert sign_in(welder).post(page(joint, "fit-up/"), data).status_code == 303
    assert FitUp.objects.get().device_at is None


def test_an_assignment_carries_the_devices_time_too(joint: Joint, foreman: User, stamp: Stamp, sign_in: SignIn) -> None:
    claimed = timezone.now().replace(microsecond=0)
    data = filled(stamp=str(stamp.id), device_at=claimed.isoformat())
    assert sign_in(foreman).post(page(joint, "assign/"), data).status_code == 303
    assert Assignment.objects.get().device_at == claimed


@pytest.mark.parametrize("name", ["Europe/Nowhere", "", "../../etc", "America"])
def test_a_job_whose_time_zone_is_unknown_tells_times_in_utc_and_says_so(
    joint: Joint, welder: User, sign_in: SignIn, name: str
) -> None:
    at = datetime.fromisoformat("2026-09-14T09:30:00+00:00")
    record_fit_ups([FitUp(joint=joint, done_on=at.date(), done_at=at, by="A1", gap_mm=1)], job=joint.job, by=welder)
    assert "Times are shown in UTC" not in sign_in(welder).get(page(joint, "")).text
    Job.objects.update(time_zone=name)
    job = Job.objects.get(id=joint.job_id)
    assert has_unknown_zone(job) and str(zone_of(job)) == "UTC"
    text = sign_in(welder).get(page(joint, "")).text
    assert "Times are shown in UTC" in text and "09:30" in text
