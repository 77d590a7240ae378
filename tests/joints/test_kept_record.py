"""A record that a phone kept is written for the person whose record it is; common practice, no source."""

from collections.abc import Callable

import pytest
from django.test import Client

from records.models import Examination, FitUp, Joint, Pass, User

SignIn = Callable[[User], Client]
FORMS = ("fit-up", "pass", "examination/VT")


def page(joint: Joint, form: str) -> str:
    return f"/jobs/{joint.job.code}/joints/{joint.id}/{form}/"


@pytest.mark.parametrize("form", FORMS)
def test_nothing_is_recorded_for_somebody_else(
    joint: Joint, welder: User, visitor: User, sign_in: SignIn, form: str
) -> None:
    answer = sign_in(welder).post(page(joint, form), {"kept_by": str(visitor.pk), "gap": "1/16"})
    assert answer.status_code == 401
    assert "of somebody else than who is signed in" in answer.text
    assert not FitUp.objects.exists() and not Pass.objects.exists() and not Examination.objects.exists()


@pytest.mark.parametrize("form", FORMS)
def test_whoever_is_signed_out_is_told_so_and_not_sent_on_without_what_was_typed(
    joint: Joint, welder: User, form: str
) -> None:
    assert Client().post(page(joint, form), {"kept_by": str(welder.pk)}).status_code == 401
    assert Client().post(page(joint, form), {}).status_code == 302


def test_the_form_names_whoever_opened_it(joint: Joint, welder: User, sign_in: SignIn) -> None:
    browser = sign_in(welder)
    assert f'name="kept_by" value="{welder.pk}"' in browser.get(page(joint, "fit-up")).text
    answer = browser.post(page(joint, "fit-up"), {"kept_by": str(welder.pk), "gap": "wide"})
    assert answer.status_code == 422, "their own record is read"
