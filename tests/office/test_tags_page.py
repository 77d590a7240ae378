"""The page that prints tags: asked, refused, sent."""

import pypdfium2
import pytest

from records.models import Job, Joint, Line, User
from tests.conftest import SignIn

pytestmark = pytest.mark.django_db


def test_asks_first_then_sends_a_tag_for_each_joint(
    job: Job, line: Line, joint: Joint, client_person: User, sign_in: SignIn
) -> None:
    browser = sign_in(client_person)
    path = f"/jobs/{job.code}/lines/{line.id}/tags/"
    assert "Sheet of labels" in browser.get(path).content.decode()
    answer = browser.get(path, {"of": "joints", "labels": "letter-30", "first": "2"})
    assert answer.status_code == 200 and answer["Content-Type"] == "application/pdf"
    text = pypdfium2.PdfDocument(answer.content)[0].get_textpage().get_text_bounded()
    assert f"Joint {joint.number}" in text and f"Line {line.number}" in text


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"first": "31"}, "give 1 to 30"),
        ({"first": "no"}, "whole number"),
        ({"labels": "stamps"}, "Select a valid choice"),
    ],
)
def test_says_what_cannot_be_printed(
    job: Job, line: Line, joint: Joint, client_person: User, sign_in: SignIn, asked: dict[str, str], said: str
) -> None:
    answer = sign_in(client_person).get(
        f"/jobs/{job.code}/lines/{line.id}/tags/", {"of": "joints", "labels": "letter-30", "first": "1"} | asked
    )
    assert answer.status_code == 422 and said in answer.content.decode()


def test_a_withdrawn_joint_needs_no_tag(
    job: Job, line: Line, joint: Joint, client_person: User, sign_in: SignIn
) -> None:
    Joint.objects.filter(pk=joint.pk).update(state="withdrawn")
    answer = sign_in(client_person).get(
        f"/jobs/{job.code}/lines/{line.id}/tags/", {"of": "joints", "labels": "a4-8", "first": "1"}
    )
    assert answer.status_code == 422 and "has no joints yet" in answer.content.decode()


def test_a_spool_tag_counts_its_joints(
    job: Job, line: Line, joint: Joint, client_person: User, sign_in: SignIn
) -> None:
    answer = sign_in(client_person).get(
        f"/jobs/{job.code}/lines/{line.id}/tags/", {"of": "spools", "labels": "a4-8", "first": "1"}
    )
    text = pypdfium2.PdfDocument(answer.content)[0].get_textpage().get_text_bounded()
    assert joint.spool is not None and joint.spool.mark in text and "1 joint" in text and "1 joints" not in text
