"""What the routes of a line need: the bill of material by spool, the lengths to cut, and how bars are cut."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from joints.queries.routes import shapes_of_line
from records.models import Line, Piece
from records.refusals import Fault, Implausible
from records.sending import ListTable, heads
from reports.spreadsheet import Cell
from rules.route.bill import BillRow, bill_of, totals
from rules.route.nesting import CuttingPlan, Stock, Wanted, cutting_plan, waste_step
from rules.route.shape import PipePiece
from rules.route.written import length_text
from rules.size_words import show_pipe_size
from rules.units import MM_PER_INCH, SI, US, UnitError, parse_length

# Common practice, no source: random lengths come about 6 m or 20 ft long, and a band saw takes some 3 mm.
_USUAL = {"SI": ("6000", "3", "300"), "US": ("20'", "1/8 in", "12 in")}
_RESTS_AT_MOST = 50
_WIDEST_KERF_MM = MM_PER_INCH
_FIELDS = {
    "bar": "Length of a bar", "kerf": "Kerf of the saw", "usable": "Keep rests from", "rests": "Rests there are",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Asked:
    """How bars are cut, as typed: the length of a bar, the kerf, the shortest rest to keep, and rests there are."""

    bar: str
    kerf: str
    usable: str
    rests: str = ""


@dataclass(frozen=True, slots=True)
class Cut:
    """One length to cut, in words; `size_names` are those that somebody may type for its size."""

    sheet: str
    spool: str
    mark: str
    size: str
    size_names: tuple[str, ...]
    length: str
    length_mm: Decimal
    allowance: str
    insertion: str
    heat: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BarShown:
    """One bar in words: its name with heat, what is cut from it, and its rest."""

    name: str
    pieces: str
    rest: str
    is_rest_usable: bool


@dataclass(frozen=True, slots=True)
class PlanShown:
    """The cutting plan of one size."""

    size: str
    bars: tuple[BarShown, ...]
    new_bars: int
    bound: int
    steps: tuple[str, ...]
    too_long: str


@dataclass(frozen=True, slots=True)
class BillShown:
    """One row of a bill in words."""

    sheet: str
    spool: str
    what: str
    size: str
    count: int
    length: str
    marks: str


def usual(units: str) -> Asked:
    """What is asked where nothing is typed."""
    return Asked(*_USUAL[units])


def bill_rows(line: Line) -> tuple[tuple[BillShown, ...], tuple[BillShown, ...]]:
    """The bill of a line by sheet and spool, and its totals; four queries a sheet with a route, and one."""
    units = line.job.units
    rows: list[BillRow] = []
    shown: list[BillShown] = []
    for sheet, shape in shapes_of_line(line):
        of_sheet = bill_of(shape, units)
        rows += of_sheet
        shown += [_billed(row, str(sheet), units) for row in of_sheet]
    return tuple(shown), tuple(_billed(row, "", units) for row in totals(rows))


def _billed(row: BillRow, sheet: str, units: str) -> BillShown:
    size = show_pipe_size(row.nps, row.schedule, units, row.second_nps)
    size += f" Class {row.pressure_class}" if row.pressure_class else ""
    length = length_text(row.length_mm, units) if row.length_mm is not None else ""
    marks = ", ".join(row.marks) if sheet else ""
    return BillShown(sheet, row.spool or "loose", row.what, size, row.count, length, marks)


def cuts_of(line: Line) -> tuple[Cut, ...]:
    """The lengths of pipe to cut for a line; four queries a sheet with a route, and two."""
    return tuple(cut for cut, _ in _cuts(line))


def _cuts(line: Line) -> list[tuple[Cut, PipePiece]]:
    shapes = shapes_of_line(line)
    pieces = Piece.objects.filter(sheet__line=line, heat__isnull=False)
    heats = {(sheet, mark): heat for sheet, mark, heat in pieces.values_list("sheet_id", "mark", "heat__number")}
    units = line.job.units
    return [
        (_cut(one, str(sheet), heats.get((sheet.pk, one.mark), ""), units), one)
        for sheet, shape in shapes
        for one in shape.pipes
    ]


def _cut(one: PipePiece, sheet: str, heat: str, units: str) -> Cut:
    depths = [length_text(depth, units) for depth in one.insertion_mm if depth is not None]
    return Cut(
        sheet=sheet,
        spool=one.spool or "loose",
        mark=one.mark,
        size=show_pipe_size(one.nps, one.schedule, units),
        size_names=_size_names(one),
        length=length_text(one.cut_mm, units),
        length_mm=one.cut_mm,
        allowance=length_text(one.allowance_mm, units) if one.allowance_mm else "",
        insertion=" and ".join(dict.fromkeys(depths)),
        heat=heat,
        steps=one.steps,
    )


def _size_names(one: PipePiece) -> tuple[str, ...]:
    """NPS 4 Sch 40, DN 100 Sch 40, and 4 Sch 40: a size by itself is an NPS in every job."""
    by_nps = show_pipe_size(one.nps, one.schedule, US)
    return by_nps, show_pipe_size(one.nps, one.schedule, SI), by_nps.removeprefix("NPS ")


def cutting_plans(cuts: Sequence[Cut], asked: Asked, units: str) -> tuple[PlanShown, ...]:
    """How bars are cut, size by size, the largest list first in the order it comes.

    Raises  Implausible naming the field that can't be read
    """
    bar, kerf, usable = (_length(name, getattr(asked, name), units) for name in ("bar", "kerf", "usable"))
    if bar <= 0:
        raise Implausible("A bar needs a length.", [Fault("bar", "A bar has no length of 0.", "6 m or 20'")])
    if kerf > _WIDEST_KERF_MM:
        told = f"Kerf of the saw: {length_text(kerf, units)} is no saw's"
        raise Implausible.of(Fault("kerf", f"{told}; accepted are up to {length_text(_WIDEST_KERF_MM, units)}."))
    sizes = {cut.size: cut.size_names for cut in cuts}
    rests = _rests(asked.rests, units, sizes)
    found: list[PlanShown] = []
    for size in sizes:
        wanted = [Wanted(f"{cut.sheet} {cut.mark}", cut.length_mm) for cut in cuts if cut.size == size]
        plan = cutting_plan(wanted, bar, kerf_mm=kerf, rests=rests.get(size, ()), usable_mm=usable)
        found.append(_shown(size, plan, units))
    return tuple(found)


def _length(name: str, text: str, units: str) -> Decimal:
    try:
        return parse_length(text, units)
    except UnitError as error:
        raise Implausible.of(Fault(name, f"{_FIELDS[name]}: {error}")) from error


def _rests(text: str, units: str, sizes: Mapping[str, Sequence[str]]) -> dict[str, list[Stock]]:
    """Rests as typed, by size: `NPS 4 Sch 40: 1500 H-100, 2.3 m; NPS 2 Sch 80: 900`; one size need not be named."""
    found: dict[str, list[Stock]] = {}
    count = 0
    for group in (one for one in text.split(";") if one.strip()):
        size, lengths = _of_size(group, sizes, units)
        for part in (one for one in lengths.split(",") if one.strip()):
            count += 1
            if count <= _RESTS_AT_MOST:
                found.setdefault(size, []).append(_rest(part, count, units))
    return found


def _of_size(group: str, sizes: Mapping[str, Sequence[str]], units: str) -> tuple[str, str]:
    """The size that a group of rests is of, and its lengths."""
    said, colon, lengths = group.partition(":")
    first = next(iter(sizes))
    if not colon and len(sizes) == 1:
        return first, group
    for size, names in sizes.items():
        if colon and _plain(said) in map(_plain, names):
            return size, lengths
    told = f'"{group.strip()[:40]}" does not say of which size these rests are; accepted are {", ".join(sizes)}.'
    raise Implausible.of(Fault("rests", told, f"{first}: {'60 in' if units == US else '1500 mm'} H-100"))


def _plain(size: str) -> str:
    return " ".join(size.casefold().split())


def _rest(part: str, number: int, units: str) -> Stock:
    words = part.split()
    for count in range(len(words), 0, -1):
        try:
            length = parse_length(" ".join(words[:count]), units)
        except UnitError:
            continue
        return Stock(f"rest {number}", length, " ".join(words[count:]))
    told = f'"{part.strip()[:40]}" is no rest; accepted are lengths with their heats, such as 1500 mm H-100.'
    raise Implausible.of(Fault("rests", told))


def _shown(size: str, plan: CuttingPlan, units: str) -> PlanShown:
    bars = tuple(
        BarShown(
            name=", ".join(part for part in (one.stock.name, length_text(one.stock.length_mm, units),
                                            f"heat {one.stock.heat}" if one.stock.heat else "") if part),
            pieces="; ".join(f"{piece.mark}: {length_text(piece.length_mm, units)}" for piece in one.pieces),
            rest=length_text(one.rest_mm, units),
            is_rest_usable=one.is_rest_usable,
        )
        for one in plan.bars
    )  # fmt: skip
    long = "; ".join(f"{one.mark}: {length_text(one.length_mm, units)}" for one in plan.too_long)
    return PlanShown(size, bars, plan.new_bars, plan.bound, _steps(plan, units), long)


def _steps(plan: CuttingPlan, units: str) -> tuple[str, ...]:
    """The arithmetic in the job's units."""
    if units != US:
        return plan.steps
    whole = sum((one.stock.length_mm for one in plan.bars), Decimal(0)) / MM_PER_INCH
    rest, waste = plan.rest_mm / MM_PER_INCH, plan.waste_mm / MM_PER_INCH
    return (waste_step(whole, whole - rest - waste, rest, "in"), *plan.steps[1:])


def bill_table(line: Line) -> ListTable:
    """The bill of a line as a table."""
    rows, _ = bill_rows(line)
    names = heads("sheet", "spool", "item", "size", "count", "length", "pieces")
    return ListTable(f"{line.number} bill of material", names, _bill_cells(rows))


def _bill_cells(rows: Sequence[BillShown]) -> Iterator[list[Cell]]:
    for row in rows:
        yield [row.sheet, row.spool, row.what, row.size, row.count, row.length, row.marks]


def cuts_table(line: Line) -> ListTable:
    """The cut list of a line as a table."""
    names = heads("sheet", "spool", "piece", "size", "cut length", "of it field-fit allowance", "insertion", "heat",
                  "arithmetic")  # fmt: skip
    return ListTable(f"{line.number} cut list", names, _cut_cells(cuts_of(line)))


def _cut_cells(cuts: Sequence[Cut]) -> Iterator[list[Cell]]:
    for one in cuts:
        yield [one.sheet, one.spool, one.mark, one.size, one.length, one.allowance, one.insertion, one.heat,
               "; ".join(one.steps)]  # fmt: skip
