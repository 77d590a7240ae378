"""Section of a socket weld: fitting left, pipe inserted from the right, gap at the bottom of the socket."""

from reports.data import SectionData
from reports.drawing import Point
from reports.section_marks import CENTRE_NOTE, ROW, WIDTH, Sheet, fit

LEFT, TOP = 20.0, 34.0
HIGH = 96.0


def socket(data: SectionData) -> Sheet | None:
    """The section, or None without socket depth and gap; a socket wall not known is drawn as thick as the pipe wall."""
    if data.socket_depth is None or data.gap is None or data.socket_depth.value <= 0:
        return None
    depth, gap = float(data.socket_depth.value), float(data.gap.value)
    wall = float(data.pipe_wall.value)
    socket_wall = float(data.socket_wall.value) if data.socket_wall else wall
    mark = float(data.mark.value) if data.mark else depth
    leg = float(data.leg.value) if data.leg else 0.0
    body, tail = depth * 0.7, max(depth * 0.55, leg * 1.5)
    scale = fit(body + depth + mark + tail, socket_wall + wall, wide=WIDTH - 2 * LEFT, high=HIGH)

    bottom = LEFT + body * scale  # of the socket
    face = bottom + depth * scale
    end = bottom + min(gap, depth) * scale  # of the pipe
    bore = TOP + socket_wall * scale
    inside = bore + wall * scale
    right = face + (mark + tail) * scale
    sheet = Sheet()
    sheet.outline((LEFT, TOP), (face, TOP), (face, bore), (bottom, bore), (bottom, inside), (LEFT, inside))
    sheet.outline((end, bore), (right, bore), (right, inside), (end, inside), hatch="left")
    if data.leg:
        _leg(sheet, data, face, bore, leg * scale, socket_wall * scale)
    _walls(sheet, data, right, bore, inside)
    if data.mark:
        x = face + mark * scale
        sheet.thin((x, bore - 7), (x, inside + 3))
    sheet.centre_line(inside + 14)
    return _dimensions(sheet, data, (end, bottom), face, face + mark * scale, inside)


def _leg(sheet: Sheet, data: SectionData, face: float, bore: float, leg: float, socket_wall: float) -> None:
    assert data.leg is not None
    up = min(leg, socket_wall)
    sheet.dashed((face, bore), (face, bore - up), (face + leg, bore))
    knee: Point = (face + max(leg * 0.5, 4) + 26, TOP - 14)
    sheet.thin((face + leg * 0.5, bore - up * 0.5), knee)
    sheet.thin(knee, (knee[0] + 8, knee[1]))
    sheet.words((knee[0] + 12, knee[1] + 4), data.leg.words, limits=data.leg.limits)


def _walls(sheet: Sheet, data: SectionData, right: float, bore: float, inside: float) -> None:
    if data.socket_wall:
        sheet.words((LEFT, TOP - 8), data.socket_wall.words)
    middle = (bore + inside) / 2
    sheet.thin((right, middle), (right + 6, middle))
    sheet.words((right + 10, middle + 4), data.pipe_wall.words)


def _dimensions(
    sheet: Sheet, data: SectionData, gap: tuple[float, float], face: float, mark: float, inside: float
) -> Sheet:
    """Rows below, outermost extension first, so that no line crosses words: mark, insertion, gap."""
    end, bottom = gap
    row = inside + 40
    if data.mark:
        sheet.dimension(face, mark, inside + 4, row, data.mark.words, data.mark.limits)
        row += ROW
    assert data.socket_depth is not None and data.gap is not None
    sheet.dimension(end, face, inside + 4, row, data.socket_depth.words, data.socket_depth.limits)
    row += ROW
    sheet.dimension(bottom, end, inside + 4, row, data.gap.words, data.gap.limits)
    return sheet.close(row + 26, CENTRE_NOTE, *data.notes)
