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
