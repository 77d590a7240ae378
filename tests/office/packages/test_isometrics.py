"""Where a sheet has a route, its weld map is the isometric: on the page, on paper, as a file and in the package."""

from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from joints.actions.apply_route import apply_route
from joints.queries.routes import propose
from office.queries.paper.certificates import Found
from office.queries.paper.drawings import drawings
from office.queries.paper.package import package_data
from office.queries.paper.title import about
from office.queries.papers import weld_map_pdf, weld_map_svg
from office.queries.scope import Scope
from records.models import Joint, Line, Sheet, Spool
from reports.data import WeldMapData
from reports.isometric.drawn import Isometric
from reports.package import package_pdf
from tests.records.scene import Scene, look, open_job, plan, weld
from tests.reports.isometric.reading import drawing_pages
from tests.reports.isometric.test_drawings import faults, numbers
from tests.reports.papers import texts

pytestmark = pytest.mark.django_db

ROUTE = "ends socket\nflange 150\nrun north 4'\nelbow\nrun up 2' 6\"\nelbow\nrun east 3'\nopen end\n"


@pytest.fixture
def routed() -> Scene:
    """A line with one sheet and its route of five joints."""
    scene = plan(*open_job(), joints=0)
    sheet = Sheet.objects.select_related("line", "job").get(job=scene.job)
    apply_route(sheet, ROUTE, base=propose(sheet, ROUTE).base, revision="A", reason="", by=scene.engineer)
    return scene


def line_of(scene: Scene) -> Line:
    return Line.objects.get(job=scene.job, sheets__isnull=False)


def test_the_paper_has_each_joint_once_and_nothing_on_anything_else(routed: Scene) -> None:
    content = weld_map_pdf(routed.job, line_of(routed))
    pages = drawing_pages(content)
    assert [fault for page in pages for fault in faults(page)] == []
    assert sorted(numbers(pages)) == ["1", "2", "3", "4", "5"]
    whole = " ".join(texts(content))
    assert "Bill of material" in whole and "Cut list" in whole and "3' 10-13/16\"" in whole


def test_as_built_tells_when_a_joint_was_welded(routed: Scene) -> None:
    joint = Joint.objects.get(job=routed.job, number="1")
    weld(routed, joint)
    look(routed, joint, "accepted")
    joint.refresh_from_db()
    assert joint.welded_on is not None
    planned, built = (
        " ".join(texts(weld_map_pdf(routed.job, line_of(routed), as_built=as_built))) for as_built in (False, True)
    )
    assert joint.welded_on.isoformat() in built and "As-built isometric" in built
    assert "Accepted" in built and "As-built" not in planned


def test_the_symbols_tell_the_leg_that_each_fillet_asks(routed: Scene) -> None:
    # NPS 1 Sch 80: 1.09 times the wall of 0.179 in is 0.195 in, over 3/16 in (0.1875) and so 7/32 in (0.21875).
    whole = " ".join(texts(weld_map_pdf(routed.job, line_of(routed))))
    assert "7/32 in" in whole or "3/16 in" in whole
    assert whole.count("in fillet") >= 4


def test_a_withdrawn_joint_is_named_in_the_corner_and_in_the_table(routed: Scene) -> None:
    sheet = Sheet.objects.select_related("line", "job").get(job=routed.job)
    shorter = ROUTE.replace("elbow\nrun east 3'\n", "")
    base = propose(sheet, shorter).base
    apply_route(sheet, shorter, base=base, revision="B", reason="The run east goes.", by=routed.engineer)
    gone = sorted(Joint.objects.filter(sheet=sheet, state="withdrawn").values_list("number", flat=True))
    assert gone == ["4", "5"]
    content = weld_map_pdf(routed.job, line_of(routed))
    assert "Withdrawn: 4, 5" in [text for page in drawing_pages(content) for text, _ in page.words]
    assert sorted(numbers(drawing_pages(content))) == ["1", "2", "3"]
    table = texts(content)[-1]
    assert "4" in table.split() and table.count("withdrawn") == 2
    assert "Withdrawn: 4, 5" in weld_map_svg(routed.job, line_of(routed))


def test_without_a_route_the_weld_map_stays() -> None:
    scene = plan(*open_job())
    made = drawings(about(Scope(scene.job)), Sheet.objects.filter(job=scene.job))
    assert made and all(isinstance(one, WeldMapData) for one in made)


def test_a_spool_keeps_its_weld_map(routed: Scene) -> None:
    spool = Spool.objects.filter(job=routed.job, joints__isnull=False).first()
    made = drawings(about(Scope(routed.job, spool=spool)), Sheet.objects.filter(job=routed.job))
    assert made and all(isinstance(one, WeldMapData) for one in made)


def test_the_package_binds_in_the_isometric_as_built(routed: Scene, tmp_path: Path) -> None:
    data, _ = package_data(about(Scope(routed.job)), Found((), {}, ()), tmp_path, lambda *_: None)
    (drawn,) = data.weld_maps
    assert isinstance(drawn, Isometric) and drawn.as_built and drawn.title.title == "As-built isometric"
    assert sorted(numbers(drawing_pages(package_pdf(data)))) == ["1", "2", "3", "4", "5"]


def test_the_file_is_an_svg_with_links(routed: Scene, tmp_path: Path) -> None:
    target = tmp_path / "map.svg"
    call_command("weld_map", "--job", routed.job.code, "--line", line_of(routed).number, "--output", str(target))
    text = target.read_text()
    assert text.count('class="iso-joint"') == 5
    assert text == weld_map_svg(routed.job, line_of(routed))


@pytest.mark.parametrize(("paper", "wide"), [("A4", 842), ("A3", 1191), ("Letter", 792), ("Tabloid", 1224)])
def test_the_command_takes_the_paper(routed: Scene, tmp_path: Path, paper: str, wide: int) -> None:
    target = tmp_path / "map.pdf"
    call_command(
        "weld_map",
        "--job",
        routed.job.code,
        "--line",
        line_of(routed).number,
        "--paper",
        paper,
        "--output",
        str(target),
    )
    with pikepdf.open(BytesIO(target.read_bytes())) as pdf:
        assert round(float(pdf.pages[0].mediabox[2])) == wide


def test_the_page_draws_it_with_a_link_to_each_joint(routed: Scene, client: Client) -> None:
    client.force_login(routed.engineer)
    page = client.get(reverse("line", args=[routed.job.code, line_of(routed).pk])).content.decode()
    for joint in Joint.objects.filter(job=routed.job):
        assert f'href="{reverse("joint", args=[routed.job.code, joint.pk])}" aria-label="Joint {joint.number}, ' in page
    assert "js/isometric" in page


def test_the_page_shows_the_joints_asked_for(routed: Scene, client: Client) -> None:
    weld(routed, Joint.objects.get(job=routed.job, number="2"))
    client.force_login(routed.engineer)
    address = reverse("line", args=[routed.job.code, line_of(routed).pk])
    page = client.get(address, {"state": "welded"}).content.decode()
    assert "1 of 5 joints: welded. The others stand aside." in page
    assert page.count("iso-joint iso-aside") == 4
    assert client.get(address, {"state": "nonsense", "finding": "x"}).content.decode().count("iso-aside") == 0


def test_more_joints_cost_no_more_queries(routed: Scene) -> None:
    def count() -> int:
        with CaptureQueriesContext(connection) as queries:
            drawings(about(Scope(routed.job)), Sheet.objects.filter(job=routed.job))
        return len(queries)

    before = count()
    sheet = Sheet.objects.select_related("line", "job").get(job=routed.job)
    longer = ROUTE.replace("open end", "elbow\nrun north 3'\nelbow\nrun up 2'\nopen end")
    apply_route(sheet, longer, base=propose(sheet, longer).base, revision="B", reason="longer", by=routed.engineer)
    assert count() == before
