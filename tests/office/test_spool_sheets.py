"""Spool sheets: a page a spool, with the part of the route that is the spool and the figures a fitter sets."""

from io import BytesIO

import pypdfium2
import pytest
from django.test import Client
from django.urls import reverse

from records.models import Joint, Line, Sheet, Spool
from tests.builders import JointBuilder
from tests.office.test_route_pages import engineer, scene  # noqa: F401 fixtures
from tests.records.scene import Scene

pytestmark = pytest.mark.django_db
# Two spools, parted by a field weld in the pipe that goes up.
ROUTE = """ends socket class 3000
flange 150
run north 4'
elbow
run up 2'
field weld
run up 2'
elbow
run east 3'
open end
"""


@pytest.fixture
def line(engineer: Client, scene: Scene) -> Line:  # noqa: F811
    sheet = Sheet.objects.get(job=scene.job)
    address = reverse("route", args=[scene.job.code, sheet.pk])
    base = engineer.post(address, {"text": ROUTE, "do": "look"}).context["proposal"].base
    sent = {"text": ROUTE, "do": "apply", "base": base, "revision": "B", "reason": "first route"}
    assert engineer.post(address, sent).status_code == 303
    return sheet.line


def pages_of(client: Client, address: str) -> list[str]:
    response = client.get(address)
    assert response.status_code == 200 and response["content-type"] == "application/pdf"
    document = pypdfium2.PdfDocument(BytesIO(response.content))
    return [page.get_textpage().get_text_bounded() for page in document]


def test_a_line_prints_a_page_for_each_spool(engineer: Client, line: Line) -> None:  # noqa: F811
    pages = pages_of(engineer, reverse("spool-sheets-pdf", args=[line.job.code, line.pk]))
    marks = [spool.mark for spool in Spool.objects.filter(line=line, joints__isnull=False).distinct()]
    drawn = [page for page in pages if any(f"Spool {mark}" in page for mark in marks)]
    assert len(drawn) == 2
    for page in drawn:
        assert "socket or slip-on" in page and "field weld to fit" in page
        assert "not a lifting plan" in page and "Overall" in page and "Weight" in page
    # The field weld is on both; every other joint on one.
    field = Joint.objects.get(sheet__line=line, location="field")
    assert all(f"{field.kind}, field" in page for page in drawn)


def test_figures_agree_with_those_worked_by_hand(engineer: Client, line: Line) -> None:  # noqa: F811
    # NPS 1 class 3000: the socket is 1/2 in deep at least (ASME B16.11) and the gap 1/16 in, so the pipe goes in 7/16;
    # bottomed and marked an inch off the face, the mark is 1-1/2 in from its end.
    spool = Joint.objects.filter(sheet__line=line).order_by("sort_key").first().spool  # type: ignore[union-attr]
    [page] = pages_of(engineer, reverse("spool-sheet-pdf", args=[line.job.code, spool.pk]))  # type: ignore[union-attr]
    flat = " ".join(page.split())
    assert "7/16 in, both ends" in flat and "1-1/2 in, both ends" in flat


def test_a_spool_without_a_route_has_its_tables(engineer: Client, scene: Scene) -> None:  # noqa: F811
    spool = Spool.objects.get(job=scene.job, mark="SP-1")
    JointBuilder(sheet=Sheet.objects.get(job=scene.job), spool=spool)
    [page] = pages_of(engineer, reverse("spool-sheet-pdf", args=[scene.job.code, spool.pk]))
    assert "has no route yet" in page and "No joints of the plan" not in page


def test_a_spool_that_a_new_route_emptied_says_so_and_has_no_page_among_those_of_its_line(
    engineer: Client,  # noqa: F811
    line: Line,
) -> None:
    empty = Spool.objects.create(job=line.job, line=line, mark="SP-OLD", sort_key="SP-OLD")
    [page] = pages_of(engineer, reverse("spool-sheet-pdf", args=[line.job.code, empty.pk]))
    assert "no joint of the plan is on this spool" in " ".join(page.split())
    pages = pages_of(engineer, reverse("spool-sheets-pdf", args=[line.job.code, line.pk]))
    assert not [page for page in pages if "Spool SP-OLD" in page]
    told = [page for page in pages if "no joint of the plan is on them: SP-1, SP-OLD." in " ".join(page.split())]
    assert told == pages[:1]


def test_a_line_without_spools_says_so(engineer: Client, scene: Scene) -> None:  # noqa: F811
    line = Line.objects.create(job=scene.job, number="9-EMPTY")
    response = engineer.get(reverse("spool-sheets-pdf", args=[scene.job.code, line.pk]))
    assert response.status_code == 422 and "has no spools yet" in response.content.decode()


def test_a_spool_has_every_length_along_it_and_the_sides_of_its_skew_runs(
    engineer: Client,  # noqa: F811
    scene: Scene,  # noqa: F811
) -> None:
    # One pipe of 6, 5 and 7 ft with a support in it, then an offset of 1 ft up and 8 in east: its travel by 45 degrees.
    text = (
        "size 2 sch 40\nends butt\ncap\nrun north 6'\nrun north 5'\nsupport shoe called PS-9\nrun north 7'\nstub 1 sch 80 "
        "pad 1-1/2 in\nbranch west\nrun west 9'\nopen end\nend branch\nrun north 10'\noffset 45 up 1' east 8 in\n"
        "run north 3'\nflange 150\ngasket 1/8 in\nitem strainer length 8 in bolted\n"
    )
    sheet = Sheet.objects.get(job=scene.job)
    address = reverse("route", args=[scene.job.code, sheet.pk])
    base = engineer.post(address, {"text": text, "do": "look"}).context["proposal"].base
    sent = {"text": text, "do": "apply", "base": base, "revision": "B", "reason": "first route"}
    assert engineer.post(address, sent).status_code == 303
    spool = Joint.objects.filter(sheet=sheet).order_by("sort_key").first().spool  # type: ignore[union-attr]
    page = pages_of(engineer, reverse("spool-sheet-pdf", args=[scene.job.code, spool.pk]))[0]  # type: ignore[union-attr]
    flat = f" {' '.join(page.split())} "
    # 12 in and 8 in: the true offset is 14.42 in, as is the advance, and the travel 1.414 times that, 20.4 in.
    for wanted in (
        "6' 0\"",
        "5' 0\"",
        "7' 0\"",
        "10' 0\"",
        "1' 0\"",
        '8"',
        "1' 2-7/16\"",
        "1' 8-3/8\"",
        "3' 0\"",
        "PS-9",
    ):
        assert f" {wanted} " in flat, wanted
    assert 'reinforcing pad, 1-1/2" wide' in flat
    bill = engineer.get(reverse("bill", args=[scene.job.code, sheet.line_id])).content.decode()
    assert "gasket, 1/8&quot; thick" in bill and "reinforcing pad, 1-1/2&quot; wide" in bill
