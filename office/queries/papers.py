"""Papers that are printed at once: weld map, weld log and findings, each of one moment."""

from collections.abc import Sequence

from office.queries.paper.findings import findings
from office.queries.paper.title import about
from office.queries.paper.weld_log import weld_log
from office.queries.paper.weld_map import as_one, maps_of_drawing, weld_maps
from office.queries.scope import Scope
from records.models import Job, Line, User
from records.refusals import Fault, Implausible
from records.snapshot import snapshot
from reports import findings as findings_paper
from reports import weld_log as weld_log_paper
from reports import weld_map as weld_map_paper
from reports.data import WeldMapData
from reports.page import Book


def weld_map_pdf(job: Job, line: Line, *, by: User | None = None) -> bytes:
    """Return the weld map of a line as a PDF, one sheet or more a drawing sheet; two queries.

    by      whose name stands in the title block
    Raises  Implausible for a line without joints
    """
    return _maps_pdf(line_maps(job, line, by=by))


def weld_map_svg(job: Job, line: Line, *, by: User | None = None) -> str:
    """Return the weld map of a line as one SVG; two queries. Raises Implausible for a line without joints."""
    return _maps_svg(line_maps(job, line, by=by))


def drawing_map(job: Job, drawing: str, *, svg: bool) -> bytes:
    """Return the weld map of a drawing's sheets, as a PDF or an SVG; two queries.

    Raises Implausible for a drawing that the job does not have, or one without joints
    """
    with snapshot():
        maps = maps_of_drawing(about(Scope(job)), drawing)
    if not maps:
        raise Implausible(
            f"Job {job.code} has no drawing {drawing} with joints.", [Fault("drawing", "Unknown drawing.")]
        )
    return _maps_svg(maps).encode() if svg else _maps_pdf(maps)


def line_maps(job: Job, line: Line, *, by: User | None = None) -> tuple[WeldMapData, ...]:
    """Return the weld maps of a line as data; two queries. Raises Implausible for a line without joints."""
    with snapshot():
        maps = weld_maps(about(Scope(job, line=line), by), line)
    if not maps:
        raise Implausible(f"Line {line.number} has no joints yet.", [Fault("line", "No joints.")])
    return maps


def weld_log_pdf(job: Job, line: Line | None = None, *, by: User | None = None) -> bytes:
    """Return the weld log of a job or line as a PDF; nine queries for each 2,000 joints and the library's."""
    with snapshot():
        return weld_log_paper.weld_log_pdf(weld_log(about(Scope(job, line=line), by)))


def findings_pdf(job: Job, line: Line | None = None, *, by: User | None = None) -> bytes:
    """Return the findings of a job or line as a PDF, overridden ones included; two queries for each 2,000 joints."""
    with snapshot():
        return findings_paper.findings_pdf(findings(about(Scope(job, line=line), by)))


def _maps_pdf(maps: Sequence[WeldMapData]) -> bytes:
    book = Book(maps[0].paper, maps[0].title)
    for one in maps:
        weld_map_paper.draw_weld_map(book, one)
    return book.finish()


def _maps_svg(maps: Sequence[WeldMapData]) -> str:
    return weld_map_paper.weld_map_svg(as_one(maps))
