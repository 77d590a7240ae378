"""Papers that are printed at once: weld map, weld log and findings, each of one moment."""

from collections.abc import Sequence

from office.queries.paper.drawings import Drawing, drawings, without_findings
from office.queries.paper.findings import findings
from office.queries.paper.spool_sheets import spool_sheets, spools_of
from office.queries.paper.title import about
from office.queries.paper.weld_log import weld_log
from office.queries.paper.weld_map import as_one
from office.queries.scope import Scope
from records.models import Job, Line, Sheet, User
from records.refusals import Fault, Implausible
from records.snapshot import snapshot
from reports import findings as findings_paper
from reports import weld_log as weld_log_paper
from reports import weld_map as weld_map_paper
from reports.data import WeldMapData
from reports.isometric.drawn import Isometric
from reports.isometric.paper import draw_isometric
from reports.isometric.screen import isometric_svgs, stacked
from reports.page import Book
from reports.spool_sheet import spool_sheets_pdf as sheets_pdf


def weld_map_pdf(job: Job, line: Line, *, by: User | None = None, paper: str = "", as_built: bool = False) -> bytes:
    """Return the weld map of a line as a PDF: an isometric for each sheet with a route, a map for each other sheet.

    by        whose name stands in the title block
    paper     of the isometrics, by default A3 or Tabloid
    as_built  whether isometrics tell stamps and dates
    Raises    Implausible for a line without joints
    """
    return _pdf(without_findings(line_drawings(job, line, by=by, paper=paper, as_built=as_built, legs=True)))


def weld_map_svg(job: Job, line: Line, *, by: User | None = None) -> str:
    """Return the weld map of a line as one SVG. Raises Implausible for a line without joints."""
    return _svg(line_drawings(job, line, by=by))


def drawing_map(job: Job, drawing: str, *, svg: bool, paper: str = "", as_built: bool = False) -> bytes:
    """Return the weld map of a drawing's sheets, as a PDF or an SVG.

    Raises Implausible for a drawing that the job does not have, or one without joints
    """
    with snapshot():
        sheets = Sheet.objects.filter(job=job, drawing=drawing)
        drawn = drawings(about(Scope(job)), sheets, paper=paper, as_built=as_built, legs=not svg)
    if not drawn:
        raise Implausible(
            f"Job {job.code} has no drawing {drawing} with joints.", [Fault("drawing", "Unknown drawing.")]
        )
    return _svg(drawn).encode() if svg else _pdf(without_findings(drawn))


def line_drawings(
    job: Job,
    line: Line,
    *,
    by: User | None = None,
    paper: str = "",
    as_built: bool = False,
    legs: bool = False,
) -> tuple[Drawing, ...]:
    """Return the drawings of a line as data. Raises Implausible for a line without joints."""
    with snapshot():
        of = about(Scope(job, line=line), by)
        drawn = drawings(of, Sheet.objects.filter(line=line), paper=paper, as_built=as_built, legs=legs)
    if not drawn:
        raise Implausible(f"Line {line.number} has no joints yet.", [Fault("line", "No joints.")])
    return drawn


def weld_log_pdf(job: Job, line: Line | None = None, *, by: User | None = None) -> bytes:
    """Return the weld log of a job or line as a PDF; nine queries for each 2,000 joints and the library's."""
    with snapshot():
        return weld_log_paper.weld_log_pdf(weld_log(about(Scope(job, line=line), by)))


def findings_pdf(job: Job, line: Line | None = None, *, by: User | None = None) -> bytes:
    """Return the findings of a job or line as a PDF, overridden ones included; two queries for each 2,000 joints."""
    with snapshot():
        return findings_paper.findings_pdf(findings(about(Scope(job, line=line), by)))


def spool_sheets_pdf(scope: Scope, *, by: User | None = None) -> bytes:
    """Return the sheet of a scope's spool, or those of its line's spools, as a PDF.

    Raises  Implausible for a line without spools
    """
    with snapshot():
        spools = spools_of(scope)
        if not spools:
            raise Implausible(f"The {scope.words} has no spools yet.", [Fault("line", "No spools.")])
        return sheets_pdf(spool_sheets(about(scope, by), spools))


def _pdf(drawn: Sequence[Drawing]) -> bytes:
    book = Book(drawn[0].paper, drawn[0].title)
    for one in drawn:
        book.paper = one.paper
        if isinstance(one, Isometric):
            draw_isometric(book, one)
        else:
            weld_map_paper.draw_weld_map(book, one)
    return book.finish()


def _svg(drawn: Sequence[Drawing]) -> str:
    """All of it as one SVG: the weld map alone, or isometrics under each other and then the map of the other sheets."""
    isometrics = [svg for one in drawn if isinstance(one, Isometric) for svg in isometric_svgs(one)]
    rest = map_svg(drawn)
    return stacked([*isometrics, *([rest] if rest else [])]) if isometrics else rest


def map_svg(drawn: Sequence[Drawing]) -> str:
    """Return the weld maps among drawings as one SVG, or nothing where each sheet has an isometric."""
    maps = [one for one in drawn if isinstance(one, WeldMapData)]
    return weld_map_paper.weld_map_svg(as_one(maps)) if maps else ""
