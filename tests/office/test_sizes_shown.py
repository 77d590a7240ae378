"""A job in SI units names every size by DN, one in US units by NPS, on pages, lists, drawings, tags and papers alike."""

import re
from html import unescape
from pathlib import Path

import pypdfium2
import pytest
from django.test import Client

from records.models import Job, Joint, Line, Sheet, Spool
from tests.conftest import SignIn, member
from tests.office.exporting.round_trip import there_and_back
from tests.office.importing.books import import_sheets
from tests.office.workbooks import Sheets, change, changed_sheets

pytestmark = pytest.mark.django_db
# The grammar of routes names both systems, in every job.
_STEPS = re.compile(r'<dl class="steps-of-route">.*?</dl>', re.DOTALL)
_ROUTE = [
    ["drawing", "sheet", "step", "item", "along", "length", "NPS", "kind"],
    ["ISO-1", "1", 1, "ends", None, None, None, "butt"],
    ["ISO-1", "1", 2, "run", "north 1200 mm", None, None, None],
    ["ISO-1", "1", 3, "reducer", None, None, "DN 40", None],
    ["ISO-1", "1", 4, "run", "north 800 mm", None, None, None],
    ["ISO-1", "1", 5, "open end", None, None, None, None],
]
_PIECES = [
    ["drawing", "sheet", "piece", "kind", "NPS", "second NPS", "schedule", "class", "material", "heat"],
    ["ISO-1", "1", "1", "pipe", "DN 50", None, "80", None, "A106 Gr. B", "H-1"],
    ["ISO-1", "1", "2", "tee", "DN 50", "DN 20", None, "3000", "A105", "H-2"],
]


def sheets(units: str) -> Sheets:
    """The clean workbook in a unit system, its sizes typed by DN, with a route, pieces and a spool."""
    told = [change("Job", 2, "units", units), change("Lines", 2, "NPS", "DN 50")]
    told += [change("Joints", row, "NPS", "DN50" if row % 2 else "50 DN") for row in range(2, 8)]
    clean = changed_sheets(told)
    made = {name: clean[name] for name in ("Job", "Lines", "Sheets", "Joints", "Heats", "Exam plans")}
    made |= {"Routes": _ROUTE, "Components": _PIECES}
    header, *joints = made["Joints"]
    header += ["spool", "piece A", "piece B"]
    for number, joint in enumerate(joints):
        joint[header.index("procedure")] = None
        joint += ["SP-1", "1" if number == 0 else None, "2" if number == 0 else None]
    return made


def text_of(browser: Client, address: str) -> str:
    answer = browser.get(address)
    assert answer.status_code == 200, address
    content = b"".join(answer.streaming_content) if answer.streaming else answer.content  # type: ignore[attr-defined]
    if answer["Content-Type"] == "application/pdf":
        document = pypdfium2.PdfDocument(content)
        return " ".join(page.get_textpage().get_text_bounded() for page in document)
    return " ".join(re.sub(r"<[^>]+>", " ", unescape(_STEPS.sub("", content.decode("utf-8-sig")))).split())


@pytest.fixture(params=["SI", "US"])
def browser(request: pytest.FixtureRequest, tmp_path: Path, sign_in: SignIn) -> Client:
    outcome = import_sheets(sheets(request.param), tmp_path)
    assert outcome.faults == []
    return sign_in(member(Job.objects.get(), "engineer", "planner", "Pia", "Lund"))


def addresses() -> dict[str, str]:
    """The places where sizes stand, with a size that stands there in an SI job."""
    joint, line, sheet = Joint.objects.order_by("sort_key")[0], Line.objects.get(), Sheet.objects.get()
    of_line, papers = f"lines/{line.id}/", "papers/"
    return {
        "weld-log/": "butt DN 50",
        "weld-log.csv": ",DN,",
        f"joints/{joint.id}/": "DN 50 Sch 80",
        of_line: "DN 50 Sch 80",
        f"sheets/{sheet.id}/route/": "DN 40 Sch 80",
        f"{of_line}bill/": "DN 50 x 40 Sch 80",
        f"{of_line}cut-list/": "DN 40 Sch 80",
        f"{of_line}tags/?of=joints&labels=letter-30&first=1": "DN 50 Sch 80",
        "pieces/": "tee DN 50 x 20 class 3000",
        "pieces.csv": ",DN,second DN,",
        f"spools/{Spool.objects.get().id}/": "DN 50",
        "find/?q=L-1": "DN 50",
        f"{papers}lines.csv": ",DN,",
        f"{papers}weld-log.pdf": "DN 50 Sch 80",
        f"{papers}weld-map/{line.id}.pdf": "DN 50 x 40 Sch 80",
        f"{papers}lines/{line.id}/spool-sheets.pdf": "DN 50 Sch 80",
    }


def test_every_size_is_named_by_the_system_of_the_job(browser: Client) -> None:
    job = Job.objects.get()
    for address, in_si in addresses().items():
        told = text_of(browser, f"/jobs/{job.code}/{address}")
        wanted, other = ("DN", "NPS") if job.units == "SI" else ("NPS", "DN")
        if not address.endswith("route/"):  # which shows the steps as somebody typed them
            assert not re.search(rf"\b{other}\b", told), address
        if in_si:
            assert (in_si if job.units == "SI" else wanted) in told, address


def test_the_workbook_keeps_nps_and_comes_back_the_same(browser: Client, tmp_path: Path) -> None:
    before, after = there_and_back(Job.objects.get(), tmp_path)
    assert before.cells == after.cells
    for sheet in ("Lines", "Joints"):
        header, *rows = before.cells[sheet]
        # ASME B36.10M: DN 50 is NPS 2.
        assert {row[header.index("NPS")] for row in rows} == {"2"}
