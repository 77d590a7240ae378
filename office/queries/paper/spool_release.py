"""The release of a spool on paper: its joints, its pieces with their heats, its steps, and what is still missing."""

from collections.abc import Iterator
from dataclasses import replace

from joints.queries.spools import spool_shown
from office.queries.paper.title import About
from office.queries.paper.weld_log import weld_log
from office.queries.scope import Scope
from records.models import Spool
from reports.list_paper import ListPaper, Section
from reports.table import Column

JOINTS = (
    Column("Joint", 30, "bold"),
    Column("Att.", 8),
    Column("Kind", 18),
    Column("Size", 26),
    Column("Heats", 34),
    Column("Procedure", 20),
    Column("Stamps", 34),
    Column("Welded", 22),
    Column("Examinations", 56),
    Column("State", 20),
)
PIECES = (Column("Piece", 40, "bold"), Column("What it is", 110), Column("Heat", 50), Column("State", 68))
STEPS = (Column("Step", 50, "bold"), Column("Date", 30), Column("By", 50), Column("Result, place, remark", 138))
MISSING = (Column("Still missing", 268),)
SIGNED_BY = ("Released by the shop", "Examiner", "Received on site by")
MOST = 2_000
RELEASED = ("released", "shipped", "received", "erected")


def spool_release(about: About) -> ListPaper:
    """Return the release of the scope's spool, read as it is drawn; eight queries, and those of the weld log."""
    spool = about.scope.spool
    assert spool is not None
    title = about.title(f"Release of spool {spool.mark}", "spool release")
    return ListPaper(title, _sections(about, spool), "", SIGNED_BY)


def spool_releases(about: About) -> tuple[ListPaper, ...]:
    """Return the release of each spool of the scope that was released, or of its one spool; one query."""
    scope = about.scope
    if scope.spool:
        return (spool_release(about),)
    spools = Spool.objects.filter(job=about.job, line__in=scope.lines().order_by(), state__in=RELEASED)
    found = spools.select_related("line").order_by("sort_key", "id")
    return tuple(spool_release(replace(about, scope=Scope(about.job, spool=spool))) for spool in found)


def _sections(about: About, spool: Spool) -> Iterator[Section]:
    shown = spool_shown(about.job, spool, MOST)
    pieces = (
        (one.mark, one.what, one.heat, "no record" if one.state == "planned" else one.state) for one in shown.pieces
    )
    steps = (
        (one.title, str(one.done_on), one.by, ", ".join(part for part in (*one.values, one.remark) if part))
        for one in shown.entries
        if not one.struck
    )
    joints = (
        (row.joint, row.attempt, row.kind, row.size, row.heats, row.procedure, row.stamps, row.date, row.examinations,
         row.state)
        for row in weld_log(about).rows
    )  # fmt: skip
    yield Section(STEPS, steps, "No step recorded yet.", "Steps")
    yield Section(JOINTS, joints, "No joints of the plan are on it.", "Joints")
    yield Section(PIECES, pieces, "The plan names no pieces of its joints.", "Pieces")
    yield Section(MISSING, ((one,) for one in shown.missing), "Nothing is missing before it goes on.", "Missing")
