"""The acceptance table of B31.3: which criterion judges an imperfection, and the figure behind it."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from functools import cache

from rules.source import Source, Verdict
from rules.tables import basis, given, length_of, table
from rules.units import MM_PER_INCH, SI, US, parse_length, show_length

SERVICES = {"Normal": "N", "Category M": "N", "Category D": "D", "Severe cyclic": "S", "High pressure": "K"}
LIMITS = "acceptance_limits_b31_3"
NOTE_5 = "A note 5"  # of the table: surface porosity counts in thin welds only
EDITIONS = ("2014", "2016", "2018")
WELDS = ("girth", "longitudinal", "fillet", "branch")
KINDS = (
    "crack",
    "lack-of-fusion",
    "incomplete-penetration",
    "porosity",
    "linear",
    "undercut",
    "surface-porosity",
    "concave-root",
    "reinforcement",
    "finish",
)
FILLET_KINDS = frozenset({"socket", "slip-on", "seal", "attachment", "pad"})
BRANCH_KINDS = frozenset({"branch", "olet"})


def weld_of(kind: str) -> str:
    """The column of the table for a kind of joint."""
    if kind in FILLET_KINDS:
        return "fillet"
    return "branch" if kind in BRANCH_KINDS else "girth"


def service_of(service: str, severe_cyclic: bool) -> str:
    """The service whose column applies: severe cyclic conditions come before the fluid service."""
    if severe_cyclic and service != "High pressure":
        return "Severe cyclic"
    return service if service in SERVICES else "Normal"


@cache
def letter(service: str, weld: str, kind: str) -> str:
    """The criterion's letter, empty where the table does not evaluate it.

    Raises    ValueError naming the accepted services, welds and imperfections
    """
    for name, value, accepted in (("service", service, tuple(SERVICES)), ("weld", weld, WELDS), ("kind", kind, KINDS)):
        if value not in accepted:
            raise ValueError(f'There is no {name} "{value}"; accepted are {", ".join(accepted)}.')
    return _letters(service, weld)[kind]


def _letters(service: str, weld: str) -> Mapping[str, str]:
    rows = table("acceptance_b31_3").rows
    return next(row for row in rows if row["service"] == SERVICES[service] and row["weld"] == weld)


def table_source(service: str, edition: str = "", weld: str = "") -> Source:
    """The table that judges this service, with the edition whose figures are used: the job's if it is known here.

    weld    the column of the table, where one is meant
    """
    clause = "Table K341.3.2" if service == "High pressure" else "Table 341.3.2"
    tables = (basis("acceptance_b31_3", _letters(service, weld) if weld else None), basis(LIMITS))
    return Source("ASME B31.3", edition if edition in EDITIONS else EDITIONS[-1], clause, "checked", tables=tables)


def source_of(service: str, weld: str, kind: str, wall_mm: Decimal, units: str, edition: str = "") -> Source:
    """The table that judges one imperfection, with the rows its figure comes from and how sure they are."""
    letters = _letters(service, weld)
    rows, tables = [letters], [basis("acceptance_b31_3", letters)]
    name, symbol = _FIGURES.get(kind, LIMITS), _FIGURE_OF.get((kind, letters[kind]), letters[kind])
    if row := row_of(name, symbol, wall_mm, units) if symbol else None:
        rows.append(row)
        tables.append(basis(name, row))
    state = "memory" if any(row["state"] == "memory" for row in rows) else "checked"
    return replace(table_source(service, edition, weld), state=state, tables=tuple(tables))


# Where the figure behind a letter stands: in a table of its own, or in the row of another letter.
_FIGURES = {"linear": "linear_indications_b31_3", "porosity": "rounded_indications_viii_4"}
_FIGURE_OF = {("reinforcement", "M"): "L", ("surface-porosity", "A"): NOTE_5}


def undercut_limit(service: str, weld: str, wall_mm: Decimal, units: str, edition: str = "") -> Verdict[Decimal | None]:
    """Greatest depth of undercut in mm by the figure of the job's unit system; None where it is not evaluated.

    wall_mm   Tw: the thinner wall; for a fillet the pipe wall (the note does not define it; a convention)
    Source    ASME B31.3 Table 341.3.2 criteria A, H, I
    """
    symbol = letter(service, weld, "undercut")
    limit, steps = depth_limit(symbol, wall_mm, units)
    source = source_of(service, weld, "undercut", wall_mm, units, edition)
    notes = ["Tw of a fillet is taken as the pipe wall: the table does not define it."] if weld == "fillet" else []
    if edition and edition != source.edition:
        notes.append(f"The figures are those of the {source.edition} edition; the job names {edition}.")
    return Verdict(limit, steps, source, tuple(notes))


def depth_limit(symbol: str, wall_mm: Decimal, units: str) -> tuple[Decimal | None, tuple[str, ...]]:
    """The depth or height behind a letter in mm, with its arithmetic; None where the letter sets no depth."""
    if symbol == "M":
        height, steps = depth_limit("L", wall_mm, units)
        return (None if height is None else 2 * height), (*steps, "criterion M: twice criterion L")
    row = row_of(LIMITS, symbol, wall_mm, units)
    if row is None:
        return None, ()
    share = Decimal(row["share_of_wall"]) * wall_mm if row["share_of_wall"] else None
    flat = length_of(row, "flat", units)
    if share is None or flat is None:
        limit = share if flat is None else flat
        return limit, (_alone(symbol, row["share_of_wall"], wall_mm, flat, units),)
    told = f"{row['share_of_wall']} x wall {show_length(wall_mm, units)} = {_figure(share, units)}"
    if row["combine"] == "lesser":
        return min(flat, share), (f"criterion {symbol}: the smaller of {show_length(flat, units)} and {told}",)
    floor = given(length_of(row, "floor", units))
    limit = min(flat, max(share, floor))
    larger = f"the larger of {told} and {show_length(floor, units)}"
    return limit, (f"criterion {symbol}: the smaller of {show_length(flat, units)} and ({larger})",)


def row_of(name: str, symbol: str, wall_mm: Decimal, units: str) -> Mapping[str, str] | None:
    """The row of a table that holds for this letter and wall, by the wall's figure in the job's units; None: no row."""
    suffix = "in" if units == US else "mm"
    for row in table(name).rows:
        over, to = row[f"wall_over_{suffix}"], row[f"wall_to_{suffix}"]
        if row.get("letter", symbol) != symbol or (over and wall_mm <= parse_length(over, units)):
            continue
        if not to or wall_mm <= parse_length(to, units):
            return row
    return None


def _alone(symbol: str, share: str, wall: Decimal, flat: Decimal | None, units: str) -> str:
    """A criterion of one figure: none of it, the table's own figure, or a share of the wall."""
    if flat is None:
        return (
            f"criterion {symbol}: {share} x wall {show_length(wall, units)} = {_figure(Decimal(share) * wall, units)}"
        )
    return f"criterion {symbol}: {show_length(flat, units)}" if flat else f"none allowed (criterion {symbol})"


def _figure(mm: Decimal, units: str) -> str:
    return f"{mm:.3f} mm" if units == SI else f"{mm / MM_PER_INCH:.4f} in"
