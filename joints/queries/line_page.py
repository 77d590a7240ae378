"""A line as its page shows it: its data, sheets, spools, and how far its joints have come."""

from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, Exists, OuterRef

from joints.queries.tally import Tally, tally_with_sheets
from joints.queries.weld_log import LogRow, first_rows
from records.models import Job, Joint, Line, Route, Sheet, SheetDrawing

MOST = 50


@dataclass(frozen=True, slots=True)
class SheetShown:
    """A sheet of a line's drawing with the number of its joints."""

    id: UUID
    drawing: str
    number: str
    revision: str
    joints: int
    has_route: bool
    has_drawing: bool


@dataclass(frozen=True, slots=True)
class LinePage:
    """What the page of a line shows; of the joints the first MOST, the rest are in the weld log."""

    line: Line
    tally: Tally
    sheets: tuple[SheetShown, ...]
    spools: tuple[tuple[str, int], ...]
    joints: tuple[LogRow, ...]

    @property
    def has_routes(self) -> bool:
        """Whether any sheet has a route."""
        return any(sheet.has_route for sheet in self.sheets)


def line_page(line: Line, job: Job) -> LinePage:
    """Return what the page of a line shows; five queries."""
    joints = Joint.objects.filter(line=line)
    how_far, of_sheets = tally_with_sheets(joints)
    has_route = Exists(Route.objects.filter(sheet=OuterRef("pk")))
    has_drawing = Exists(SheetDrawing.objects.filter(sheet=OuterRef("pk")))
    sheets = (
        Sheet.objects.filter(line=line)
        .annotate(has_route=has_route, has_drawing=has_drawing)
        .order_by("drawing", "number")
    )
    return LinePage(
        line=line,
        tally=how_far,
        sheets=tuple(
            SheetShown(
                sheet.id,
                sheet.drawing,
                sheet.number,
                sheet.revision,
                of_sheets[sheet.id],
                sheet.has_route,
                sheet.has_drawing,
            )
            for sheet in sheets
        ),
        spools=_spools(line),
        joints=first_rows(joints, MOST, job.units),
    )


def _spools(line: Line) -> tuple[tuple[str, int], ...]:
    """Marks of the line's spools with the joints made in each; a field joint counts at its first spool."""
    rows = line.spools.order_by("mark").values_list("mark").annotate(count=Count("joints"))
    return tuple(rows)
