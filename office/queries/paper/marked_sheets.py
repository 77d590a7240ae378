"""The clients' drawings of a line's sheets with the joints marked on them, as files to bind into a package."""

from collections.abc import Iterator
from pathlib import Path

from office.queries.marked_drawing import drawing_of, drawing_pdf
from office.queries.paper.title import About
from records.models import JointMark, Line, Sheet, SheetDrawing
from reports.certificates import checked_pdf
from reports.data import MarkedSheet, WeldMapData


def marked_sheets(about: About, line: Line, of_map: WeldMapData, folder: Path) -> Iterator[MarkedSheet]:
    """Yield the marked drawing of the sheet that a map shows, if a joint is marked on one; at most four queries.

    folder  where its file is put
    A file that is gone or can't be bound in is left out: the map stands in any case, and `verify_journal` names it.
    """
    title = of_map.title
    sheets = Sheet.objects.filter(line=line, drawing=title.number, number=title.sheet.partition(" of ")[0])
    sheet = sheets.first()
    if sheet is None:
        return
    drawing = drawing_of(sheet, list(SheetDrawing.objects.filter(sheet=sheet).order_by("-id")))
    if drawing is None or not JointMark.objects.filter(drawing=drawing, page__gt=0).exists():
        return
    target = folder / f"marked-{drawing.pk.hex}.pdf"
    try:
        checked = checked_pdf(drawing_pdf(drawing), target)
    except FileNotFoundError:
        return
    if not checked.faults:
        yield MarkedSheet(title, str(target), checked.pages)
