"""The history of a joint stands in the order in which things can follow each other."""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from inspection.actions.decide_repairs import decide_repairs
from inspection.actions.record_examinations import record_examinations
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from joints.queries.joint_history import History
from records.models import Examination, FitUp, Joint, Pass, RepairDecision, Stamp, User
from tests.conftest import SignIn

pytestmark = pytest.mark.django_db


def test_records_of_one_minute_follow_each_other_as_they_can_only_have_been_made(
    joint: Joint, stamp: Stamp, engineer: User
) -> None:
    """All of one minute, and written down the wrong way round."""
    by: dict[str, Any] = {"job": joint.job, "by": engineer}
    at: datetime = timezone.now().replace(second=0, microsecond=0) - timedelta(days=1)
    same: dict[str, Any] = {"joint": joint, "done_on": at.date(), "done_at": at, "by": "Ines Carrow"}
    decide_repairs([RepairDecision(decision="repair", **same)], **by)
    record_examinations([Examination(method="VT", result="rejected", indications="Crack", **same)], **by)
    caps = [Pass(order=order, role="cap", stamp=stamp, process="GTAW", **same) for order in (3, 2)]
    record_passes(caps, **by)
    record_fit_ups([FitUp(gap_mm=1, **same)], **by)
    told = [entry.title for entry in History(joint.job, joint).entries]
    assert told == ["Fitted up", "Pass 2 cap", "Pass 3 cap", "VT rejected", "Repair decided"]


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("21 C", "preheat 21 °C (70 °F)"),
        ("21c", "preheat 21 °C (70 °F)"),
        ("21 °c", "preheat 21 °c (70 °F)"),
        ("21 celsius", "preheat 21 celsius (70 °F)"),
        ("70F", "preheat 70 °F"),
        ("70f", "preheat 70 °F"),
        ("70", "preheat 70 °F"),
        ("", "preheat 70 °F"),
    ],
)
def test_a_temperature_is_told_as_typed_with_its_degrees(
    joint: Joint, stamp: Stamp, engineer: User, typed: str, told: str
) -> None:
    one = Pass(joint=joint, order=1, role="root", stamp=stamp, process="GTAW", done_on=timezone.localdate(), by="A1")
    one.preheat_c, one.typed = Decimal("21.11"), {"preheat": typed} if typed else {}
    record_passes([one], job=joint.job, by=engineer)
    assert told in History(joint.job, joint).entries[0].values


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("2.5 mm", "gap 2.5 mm (0.098 in)"),
        ("2.5 MM", "gap 2.5 MM (0.098 in)"),
        ('3/32"', 'gap 3/32"'),
        ("3/32", "gap 3/32 in"),
    ],
)
def test_a_length_typed_in_other_units_than_the_jobs_is_told_in_both(
    joint: Joint, engineer: User, typed: str, told: str
) -> None:
    one = FitUp(joint=joint, gap_mm=Decimal("2.5"), typed={"gap": typed}, done_on=timezone.localdate(), by="A1")
    record_fit_ups([one], job=joint.job, by=engineer)
    assert told in History(joint.job, joint).entries[0].values


@pytest.mark.parametrize(("kind", "told"), [("socket", "gap 1/16 in"), ("butt", "root opening 1/16 in")])
def test_what_is_set_before_welding_is_called_by_the_kind_of_joint(
    joint: Joint, engineer: User, kind: str, told: str, sign_in: SignIn
) -> None:
    """AWS A3.0: a groove weld has a root opening; ASME B31.3 328.5.2C speaks of the gap of a socket."""
    Joint.objects.filter(pk=joint.pk).update(kind=kind)
    joint.refresh_from_db()
    one = FitUp(joint=joint, gap_mm=Decimal("1.5875"), done_on=timezone.localdate(), by="A1")
    record_fit_ups([one], job=joint.job, by=engineer)
    assert told in History(joint.job, joint).entries[0].values
    browser, code = sign_in(engineer), joint.job.code
    assert told in browser.get(reverse("paper", args=[code, "fit-up-and-pass-log"])).text
    form = browser.get(reverse("fit-up-record", args=[code, joint.pk])).text
    assert f'<label for="id_gap">{told.removesuffix(" 1/16 in").capitalize()}' in form
