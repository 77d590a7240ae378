"""The legs and throats of fillet welds."""

from collections.abc import Mapping
from decimal import Decimal, localcontext

from rules.measurable import show_limit
from rules.nearest import NotAccepted
from rules.source import Source, Verdict
from rules.tables import basis, given, length_of, table
from rules.units import LEAST, SI, computed_figure, plain, show_computed, show_length

CODES = ("B31.3", "B31.1")
_PIPE_WALL, _SOCKET_WALL = "pipe wall", "socket wall"


def socket_leg(
    pipe_wall_mm: Decimal,
    socket_wall_mm: Decimal | None = None,
    *,
    code: str = "B31.3",
    edition: str = "",
    units: str = SI,
) -> Verdict[Decimal]:
    """Smallest fillet leg of a socket weld, in mm, not rounded.

    pipe_wall_mm    nominal wall of the pipe
    socket_wall_mm  smallest socket wall of the fitting; None: the class is not known, the pipe wall governs
    Raises          ValueError for a wall that is not positive
    Source          ASME B31.3 Fig. 328.5.2C: the smaller of 1.09 x pipe wall and the socket wall;
                    ASME B31.1 Fig. 127.4.4(C): 1.09 x pipe wall
    """
    _positive(pipe_wall_mm, "pipe wall")
    row = _row(code, "socket")
    leg = Decimal(row["factor"]) * pipe_wall_mm
    computed = f"{row['factor']} x {show_length(pipe_wall_mm, units)} = {show_computed(leg, units)}"
    if code == "B31.1":
        source = Source("ASME B31.1", edition, row["clause"], row["state"], tables=_tables(row))
        return Verdict(leg, (f"{computed} -> {show_limit(leg, LEAST, units)} ({_next(units)})",), source)
    if socket_wall_mm is None or leg <= socket_wall_mm:
        beside = "" if socket_wall_mm is None else f", not over the socket wall {show_computed(socket_wall_mm, units)}"
        source = Source("ASME B31.3", edition, row["clause"], row["state"], tables=_tables(row))
        return Verdict(leg, (f"{computed}{beside} -> {show_limit(leg, LEAST, units)} ({_next(units)})",), source)
    _positive(socket_wall_mm, "socket wall")
    source = Source("ASME B31.3", edition, row["clause"], "memory", tables=_tables(row))
    step = f"{computed}, but the socket wall is {show_computed(socket_wall_mm, units)} and governs"
    return Verdict(socket_wall_mm, (f"{step} -> {show_limit(socket_wall_mm, LEAST, units)} ({_next(units)})",), source)


def governs(pipe_wall_mm: Decimal, socket_wall_mm: Decimal | None) -> str:
    """Which wall decides the leg of a socket weld: `pipe wall` or `socket wall`."""
    over = socket_wall_mm is not None and Decimal(_row("B31.3", "socket")["factor"]) * pipe_wall_mm > socket_wall_mm
    return _SOCKET_WALL if over else _PIPE_WALL


def flange_leg(
    pipe_wall_mm: Decimal,
    hub_mm: Decimal | None = None,
    *,
    side: str = "hub",
    code: str = "B31.3",
    edition: str = "",
    units: str = SI,
) -> Verdict[Decimal]:
    """Smallest fillet leg of a slip-on or socket-welding flange, in mm, not rounded.

    hub_mm    hub thickness; None: not known, the pipe wall governs
    side      hub (outer weld) or face (inner weld of a slip-on)
    Raises    ValueError for a wall that is not positive or another side
    Source    ASME B31.3 Fig. 328.5.2B: hub min(1.4 x T, hub), face min(T, 6 mm or 1/4 in)
    """
    _positive(pipe_wall_mm, "pipe wall")
    if side not in ("hub", "face"):
        raise ValueError(f'"{side}" is no side of a flange; accepted are hub and face.')
    row = _row(code, side)
    source = Source(f"ASME {code}", edition, row["clause"], row["state"], tables=_tables(row))
    leg = Decimal(row["factor"]) * pipe_wall_mm
    if side == "face":
        most = given(length_of(row, "most", units))
        leg = min(leg, most)
        step = f"the smaller of the wall {show_length(pipe_wall_mm, units)} and {show_length(most, units)}"
    else:
        step = f"{row['factor']} x {show_length(pipe_wall_mm, units)} = {show_computed(leg, units)}"
        if hub_mm is not None and hub_mm < leg:
            _positive(hub_mm, "hub")
            leg, step = hub_mm, f"{step}, but the hub is {show_computed(hub_mm, units)} and governs"
    return Verdict(leg, (f"{step} -> {show_limit(leg, LEAST, units)} ({_next(units)})",), source)


def throat(leg_a_mm: Decimal, leg_b_mm: Decimal, units: str = SI) -> Verdict[Decimal]:
    """Theoretical throat of a fillet with these legs, in mm: a x b / sqrt(a² + b²), 0.7071 x leg where equal.

    Raises    ValueError for a leg that is not positive
    Source    geometry of the inscribed triangle, ASME B31.3 Fig. 328.5.2A
    """
    _positive(leg_a_mm, "leg")
    _positive(leg_b_mm, "leg")
    with localcontext(prec=28):
        value = leg_a_mm * leg_b_mm / (leg_a_mm**2 + leg_b_mm**2).sqrt()
    a, b = (plain(Decimal(computed_figure(leg, units))) for leg in (leg_a_mm, leg_b_mm))
    step = f"{a} x {b} / sqrt({a}² + {b}²) = {show_computed(value, units)}"
    return Verdict(value, (step,), Source("ASME B31.3", "", "Fig. 328.5.2A", "memory"))


def size_of_concave(actual_throat_mm: Decimal) -> Decimal:
    """The size of a concave fillet from its actual throat, in mm: throat x sqrt(2)."""
    return actual_throat_mm * Decimal(2).sqrt()


def _tables(row: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    return (basis("fillet_legs", row),)


def _row(code: str, at: str) -> Mapping[str, str]:
    rows = {row["code"]: row for row in table("fillet_legs").rows if row["at"] == at}
    if code not in rows:
        raise NotAccepted(f'No leg of "{code}" is known', code, rows)
    return rows[code]


def _positive(value: Decimal, name: str) -> None:
    if value <= 0:
        raise ValueError(f"A {name} of {value} mm is not possible; it must be over 0 mm.")


def _next(units: str) -> str:
    return "next 0.5 mm up" if units == SI else "next 1/32 in up"
