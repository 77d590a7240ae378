"""Sections with a fillet or a set-on branch: the branch on its header, and the slip-on flange on its pipe."""

from math import radians, tan

from reports.data import SectionData
from reports.section_marks import CENTRE_NOTE, ROW, WIDTH, Sheet, fit

TOP = 34.0


def branch(data: SectionData) -> Sheet | None:
    """One side of a set-on branch at the crotch, bevelled 45 degrees; None without the header's wall."""
    if data.other_wall is None or data.other_wall.value <= 0:
        return None
    wall, header = float(data.pipe_wall.value), float(data.other_wall.value)
    gap = float(data.gap.value) if data.gap else 0.0
    leg = float(data.leg.value) if data.leg else wall * 0.7
    rise = max(3.2 * wall, leg * 2.2)
    scale = fit(6 * wall + 2 * leg, gap + rise + header, wide=150, high=130)

    sheet = Sheet()
    middle = WIDTH / 2
    surface = TOP + (rise + gap) * scale
    below = surface + header * scale
    inner, outer = middle - wall * scale / 2, middle + wall * scale / 2
    foot = surface - gap * scale
    shoulder = foot - wall * scale * tan(radians(45))
    sheet.outline((inner, TOP), (outer, TOP), (outer, shoulder), (inner, foot), hatch="left")
    right = outer + (leg * 1.6 + 2 * wall) * scale
    sheet.outline((inner, surface), (right, surface), (right, below), (inner, below))
    cap = shoulder - leg * 0.25 * scale
    sheet.dashed((inner, foot), (outer, shoulder), (outer, cap), (outer + leg * scale, surface), (inner, surface))
    sheet.words((middle, TOP - 10), data.pipe_wall.words, "middle")
    sheet.words((right + 10, (surface + below) / 2 + 4), data.other_wall.words)
    if data.leg:
        knee = (outer + leg * scale * 0.5 + 24, cap - 10)
        sheet.thin((outer + leg * scale * 0.5, (cap + surface) / 2), knee)
        sheet.words((knee[0] + 6, knee[1] + 4), data.leg.words, limits=data.leg.limits)
    return _notes(sheet, data, inner - 12, (surface + foot) / 2, below + 18)


def _notes(sheet: Sheet, data: SectionData, left: float, level: float, bottom: float) -> Sheet:
    if data.gap:
        sheet.thin((left - 6, level), (left + 10, level))
        sheet.words((left - 10, level + 4), data.gap.words, "end")
        if data.gap.limits:
            sheet.words((left - 10, level + 18), data.gap.limits, "end", 10.5)
    return sheet.close(bottom, "Branch wall cut at the crotch; bevel 45° typical", *data.notes)


def slip_on(data: SectionData) -> Sheet | None:
    """Slip-on flange: hub and face fillets; None without the hub's thickness or the leg."""
    if data.other_wall is None or data.leg is None or data.other_wall.value <= 0 or data.leg.value <= 0:
        return None
    wall, hub, leg = float(data.pipe_wall.value), float(data.other_wall.value), float(data.leg.value)
    setback = float(data.gap.value) if data.gap else leg
    length = 3 * hub + leg
    scale = fit(length + setback + leg + 4 * wall, hub * 2.6 + wall, wide=230, high=120)

    sheet = Sheet()
    left = 70.0  # face of the flange
    back = left + length * scale  # end of the hub
    bore = TOP + hub * 2.6 * scale
    inside = bore + wall * scale
    hub_top = bore - hub * scale
    plate = left + length * 0.5 * scale
    sheet.outline((left, TOP), (plate, TOP), (plate, hub_top), (back, hub_top), (back, bore), (left, bore))
    end = left + setback * scale
    right = back + (leg + 4 * wall) * scale
    sheet.outline((end, bore), (right, bore), (right, inside), (end, inside), hatch="left")
    up = min(leg, hub) * scale
    sheet.dashed((back, bore), (back, bore - up), (back + leg * scale, bore))
    inner_leg = min(setback, leg, wall) * scale
    sheet.dashed((end - inner_leg, bore), (end, bore), (end, bore + inner_leg))
    sheet.words((plate + 8, hub_top - 8), data.other_wall.words)
    sheet.thin((right, (bore + inside) / 2), (right + 6, (bore + inside) / 2))
    sheet.words((right + 10, (bore + inside) / 2 + 4), data.pipe_wall.words)
    knee = (back + leg * scale * 0.5 + 30, bore - up - 12)
    sheet.thin((back + leg * scale * 0.5, bore - up * 0.5), knee)
    sheet.words((knee[0] + 6, knee[1] + 4), data.leg.words, limits=data.leg.limits)
    sheet.centre_line(inside + 16)
    row = inside + 44
    if data.gap:
        sheet.dimension(left, end, inside + 4, row, data.gap.words, data.gap.limits)
        row += ROW
    return sheet.close(row + 4, CENTRE_NOTE, *data.notes)
