"""Socket-welding fittings by size and class: depth, wall and the other figures of their table in both unit systems."""

from collections.abc import Mapping
from decimal import Decimal

from rules.pipe import UnknownSize, parse_class, parse_nps
from rules.size_words import show_size
from rules.source import Source
from rules.tables import basis, table
from rules.units import MM_PER_INCH, SI, US

SOCKET_CLASSES = frozenset(row["class"] for row in table("socket_fittings").rows)


def fitting(nps: str, fitting_class: str, units: str = US) -> Mapping[str, str]:
    """The row of a fitting; the class as `3000`, `Class 3000` or `3000#`.

    units     of the job: a refusal names sizes by them
    Raises    UnknownSize naming the classes that have this size, nearest first
    Source    ASME B16.11 Tables 1 and 2
    """
    size = parse_nps(nps, units)
    wanted = parse_class(fitting_class)
    rows = {row["class"]: row for row in table("socket_fittings").rows if row["nps"] == size}
    if wanted not in rows:
        raise UnknownSize(
            f'No socket-welding fitting {show_size(size, units)} of class "{fitting_class}"', wanted, rows
        )
    return rows[wanted]


def figure_of(row: Mapping[str, str], name: str, units: str) -> Decimal:
    """A figure of a table's row in mm, by the column of the unit system: a US job is judged by the inch figure."""
    return Decimal(row[f"{name}_in"]) * MM_PER_INCH if units == US else Decimal(row[f"{name}_mm"])


def socket_wall(nps: str, fitting_class: str, units: str = SI) -> Decimal:
    """Smallest socket wall of a fitting, in mm.

    Raises    UnknownSize naming the classes that have this size
    Source    ASME B16.11 Table 1
    """
    return figure_of(fitting(nps, fitting_class, units), "wall_min", units)


def socket_depth(nps: str, fitting_class: str, units: str = SI) -> tuple[Decimal, Source]:
    """The least depth of a fitting's socket, in mm, and its source.

    Raises    UnknownSize naming the classes that have this size
    Source    ASME B16.11 Table 1
    """
    row = fitting(nps, fitting_class, units)
    # The depth is the same for all makers seen; a conflict of the row lies elsewhere, but for NPS 4.
    state = "memory" if units == US else row["state"] if row["nps"] == "4" else "checked"
    source = Source("ASME B16.11", "2016", "Table 1", state, tables=(basis("socket_fittings", row),))
    return figure_of(row, "depth_min", units), source
