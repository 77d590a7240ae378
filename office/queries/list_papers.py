"""Papers that are a page and a PDF alike: the logs, reports, registers and releases of a job, line or spool."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from itertools import islice

from inspection.actions.record_examinations import METHODS
from office.queries.paper.examinations import examination_report, report_title
from office.queries.paper.fit_up_log import fit_up_log
from office.queries.paper.heats import heat_list
from office.queries.paper.lots import lots_paper
from office.queries.paper.points import points_paper
from office.queries.paper.progress import progress_paper
from office.queries.paper.spool_release import spool_release
from office.queries.paper.title import About, about
from office.queries.paper.welders import welder_register
from office.queries.scope import Scope
from records.models import Examination, ExamRule, Job, User
from records.snapshot import snapshot
from reports import examinations, heats, welders
from reports.list_paper import ListPaper, Section, list_paper_pdf
from reports.progress_curve import picture_svg

# Of one table a page shows so many rows; the PDF has all.
MOST = 200
EXAMINED_BY = ("Examined by", "Reviewed by", "Owner's inspector")
CHECKED_BY = ("Made by", "Checked by")


@dataclass(frozen=True, slots=True)
class Asked:
    """What somebody asks of a report: one report number, or one day; nothing asks for all."""

    report: str = ""
    day: date | None = None


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of paper: its name, what it tells, how it is made; a report is of a method, by number or day."""

    title: str
    about: str
    make: Callable[[About, Asked], ListPaper]
    method: str = ""


def _report(method: str) -> Kind:
    def make(of: About, asked: Asked) -> ListPaper:
        data = examination_report(of, method, report=asked.report, day=asked.day)
        return examinations.as_list(data, signatures=EXAMINED_BY)

    return Kind(report_title(method), "the verdict of each examination, the computed one beside it", make, method)


KINDS: dict[str, Kind] = {
    "fit-up-and-pass-log": Kind(
        "Fit-up and pass log", "what was measured and welded, record by record", lambda of, asked: fit_up_log(of)
    ),
    **{f"{method.lower().replace(' ', '-')}-report": _report(method) for method in METHODS},
    "lots": Kind(
        "Lots of sample examination",
        "what each lot asks, how its sample stands, and which welds stand for it",
        lambda of, asked: lots_paper(of, signatures=EXAMINED_BY),
    ),
    "hold-points": Kind(
        "Hold and witness points",
        "the plan of the owner's points, and which were attended or waived",
        lambda of, asked: points_paper(of, signatures=EXAMINED_BY),
    ),
    "welder-register": Kind(
        "Welder register",
        "who welded or tacked, what each is qualified for, and how long it is alive",
        lambda of, asked: welders.as_list(welder_register(of), signatures=CHECKED_BY),
    ),
    "heat-traceability": Kind(
        "Heat traceability",
        "each heat and filler lot with its certificate and the joints it is in",
        lambda of, asked: heats.as_list(heat_list(of), signatures=CHECKED_BY),
    ),
    "progress": Kind(
        "Progress",
        "plan against actual by week with a forecast, by line and by welder",
        lambda of, asked: progress_paper(of),
    ),
}


def kinds_for(job: Job) -> tuple[dict[str, Kind], list[str]]:
    """Return the papers of a job, and the methods of which it neither asks nor holds a result; one query."""
    asked = ExamRule.objects.filter(job=job).order_by().values_list("method", flat=True)
    used = set(asked.union(Examination.objects.filter(job=job).order_by().values_list("method", flat=True)))
    offered = {slug: kind for slug, kind in KINDS.items() if not kind.method or kind.method in used}
    return offered, [method for method in METHODS if method not in used]


@dataclass(frozen=True, slots=True)
class SectionShown:
    """One table as its page shows it."""

    caption: str
    aside: str
    headings: list[str]
    rows: list[list[tuple[str, str]]]
    is_more: bool
    empty: str


@dataclass(frozen=True, slots=True)
class PaperShown:
    """A paper as its page shows it: each cell with its heading."""

    title: str
    number: str
    supplement: str
    sections: list[SectionShown]
    empty: str
    picture: str = ""
    notes: tuple[str, ...] = ()


def paper_pdf(scope: Scope, kind: Kind | None, asked: Asked, *, by: User) -> bytes:
    """Return a paper as a PDF; without a kind the release of the scope's spool."""
    with snapshot():
        return list_paper_pdf(_made(scope, kind, asked, by))


def paper_shown(scope: Scope, kind: Kind | None, asked: Asked, *, by: User) -> PaperShown:
    """Return a paper's first MOST tables, of each the first MOST rows; as many queries as its PDF, at most."""
    with snapshot():
        made = _made(scope, kind, asked, by)
        title = made.title
        sections = [_shown(one) for one in islice(made.sections, MOST)]
    picture = picture_svg(made.picture, "curve is-wide") if made.picture else ""
    return PaperShown(title.title, title.number, title.supplement, sections, made.empty, picture, made.notes)


def _made(scope: Scope, kind: Kind | None, asked: Asked, by: User) -> ListPaper:
    of = about(scope, by)
    return kind.make(of, asked) if kind else spool_release(of)


def _shown(section: Section) -> SectionShown:
    headings = [one.heading for one in section.columns]
    rows = [list(zip(headings, row, strict=True)) for row in islice(section.rows, MOST + 1)]
    return SectionShown(section.caption, section.aside, headings, rows[:MOST], len(rows) > MOST, section.empty)
