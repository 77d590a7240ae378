"""Logs, reports, registers and releases: the page and the PDF say the same, of the job, a line, a report or a day."""

from datetime import date

import pypdfium2
import pytest
from django.test import Client
from django.urls import reverse

from inspection.actions.record_examinations import record_examinations
from office.queries.list_papers import KINDS
from records.models import Examination, Spool
from tests.conftest import SignIn
from tests.records.scene import Scene


def words_of(pdf: bytes) -> str:
    """What a PDF says, in one line."""
    document = pypdfium2.PdfDocument(pdf)
    return " ".join(" ".join(page.get_textpage().get_text_bounded().split()) for page in document)


@pytest.fixture
def desk(scene: Scene, sign_in: SignIn) -> Client:
    """The engineer's browser."""
    return sign_in(scene.engineer)


def of(scene: Scene, paper: str, route: str = "paper") -> str:
    """The address of a paper of the job."""
    return reverse(route, args=[scene.job.code, paper])


@pytest.mark.parametrize("paper", KINDS)
def test_each_is_a_page_and_a_pdf_with_its_title(paper: str, scene: Scene, desk: Client) -> None:
    shown = desk.get(of(scene, paper)).content.decode()
    answer = desk.get(of(scene, paper, "paper-pdf"))
    assert answer["Content-Type"] == "application/pdf" and answer["Content-Disposition"].startswith("attachment")
    title = KINDS[paper].title
    assert f"<h1>{title}" in shown or paper == "heat-traceability"
    assert scene.job.code in words_of(answer.content)


def test_the_list_has_the_reports_of_methods_that_are_asked_for_or_recorded(scene: Scene, desk: Client) -> None:
    """The plan of the scene asks for VT; the leak test is recorded without being asked for."""
    page = reverse("papers", args=[scene.job.code])
    assert of(scene, "leak-test-report") not in desk.get(page).text
    told = {"result": "accepted", "by": "Ansel Vroom", "done_on": date(2026, 9, 16)}
    made = Examination(joint=scene.joints["1"], method="leak test", **told)
    record_examinations([made], job=scene.job, by=scene.engineer)
    shown = desk.get(page).text
    for paper, kind in KINDS.items():
        is_used = kind.method in ("", "VT", "leak test")
        assert (of(scene, paper) in shown) == is_used, paper
        assert is_used or kind.method in shown.partition("No report yet of ")[2]


# By hand, from what the scene records of joint 1: tacked and welded by K7, seen by Ansel Vroom with legs of 1/4 in.
@pytest.mark.parametrize(
    ("paper", "said"),
    [
        ("fit-up-and-pass-log", ("ISO-2001/1/1", "Fit-up", "Pass 1 root", "K7", "1/16 in")),
        ("vt-report", ("ISO-2001/1/1", "Ansel Vroom", "accepted", "leg A 1/4 in")),
        ("welder-register", ("K7",)),
        ("heat-traceability", ("H-100", "MC-77")),
    ],
)
def test_page_and_pdf_say_the_same(paper: str, said: tuple[str, ...], scene: Scene, desk: Client) -> None:
    shown = desk.get(of(scene, paper)).content.decode()
    printed = words_of(desk.get(of(scene, paper, "paper-pdf")).content)
    for words in said:
        assert words in shown and words in printed, words


@pytest.mark.parametrize("paper", ["fit-up-and-pass-log", "vt-report", "welder-register", "heat-traceability"])
def test_each_pdf_has_lines_to_sign(paper: str, scene: Scene, desk: Client) -> None:
    printed = words_of(desk.get(of(scene, paper, "paper-pdf")).content)
    assert "Signature" in printed and "Name" in printed


def test_a_report_of_one_day_or_number_holds_nothing_else(scene: Scene, desk: Client) -> None:
    address = of(scene, "vt-report")
    assert "ISO-2001/1/2" in desk.get(address).content.decode()
    shown = desk.get(address, {"day": "2026-09-15"}).content.decode()
    assert "ISO-2001/1/1" in shown
    assert "No examination recorded" in desk.get(address, {"day": "2026-09-14"}).content.decode()
    none = desk.get(address, {"report": "no such"}).content.decode()
    assert "No examination recorded in this scope." in none
    assert "No examination recorded" in words_of(
        desk.get(f"{of(scene, 'vt-report', 'paper-pdf')}?report=no+such").content
    )
    assert desk.get(address, {"day": "yesterday"}).status_code == 200


def test_a_paper_of_a_line_holds_its_joints_and_an_unknown_one_is_not_found(scene: Scene, desk: Client) -> None:
    line = next(iter(scene.joints.values())).line
    assert "ISO-2001/1/1" in desk.get(of(scene, "fit-up-and-pass-log"), {"line": line.number}).content.decode()
    assert desk.get(of(scene, "fit-up-and-pass-log"), {"line": "none"}).status_code == 404
    assert desk.get(of(scene, "no-such-paper")).status_code == 404


def test_a_spool_is_released_on_a_page_and_a_pdf(scene: Scene, desk: Client) -> None:
    spool = Spool.objects.filter(job=scene.job)[0]
    page, pdf = (reverse(name, args=[scene.job.code, spool.id]) for name in ("spool-release", "spool-release-pdf"))
    shown, printed = desk.get(page).content.decode(), words_of(desk.get(pdf).content)
    for words in (f"Release of spool {spool.mark}", "Missing", "Steps"):
        assert words in shown and words in printed, words
    assert "Released by the shop" in printed and "Received on site by" in printed


def test_a_withdrawn_record_is_not_printed(scene: Scene, desk: Client) -> None:
    # The only fit-up of joint 4 was withdrawn.
    assert "ISO-2001/1/4" not in desk.get(of(scene, "fit-up-and-pass-log")).content.decode()
