"""How many welds of a line to examine, by its service."""

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from rules.source import Source
from rules.tables import basis, table


@dataclass(frozen=True, slots=True)
class Extent:
    """Numbers of welds to examine; vt None: to the extent that satisfies the examiner."""

    rt: int
    vt: int | None
    surface: int
    steps: tuple[str, ...]
    source: Source


def services() -> tuple[str, ...]:
    """The services that the table knows."""
    return tuple(row["service"] for row in table("examination_extent_b31_3").rows)


def counted_welds(count: int, kind: str = "") -> str:
    """Return a number of welds in words: "1 weld", "4 girth welds"."""
    return f"{count} {kind}{' ' if kind else ''}weld{'' if count == 1 else 's'}"


def share(percent: Decimal, count: int, welders: int = 0) -> int:
    """A percentage of welds as a number: rounded up, then raised until each welder can have one; never over all.

    Source    341.4.1 "not less than"; rounding up and one for each welder are a convention
    """
    least = (percent * count / 100).to_integral_value(ROUND_CEILING)
    return min(count, max(int(least), welders if percent else 0))


_Part = tuple[int, str]  # how many, and their arithmetic


def _part(percent: str, count: int, kind: str, welders: int = 0) -> _Part:
    """A share of the welds of one kind."""
    alone, found = share(Decimal(percent), count), share(Decimal(percent), count, welders)
    to = f"one for each of {welders} welders" if found == welders else "all of them"
    raised = f", raised to {to} = {found}" if found != alone else ""
    return found, f"{percent} % of {counted_welds(count, kind)}, rounded up = {alone}{raised}"


def _told(method: str, parts: list[_Part], least: int = 0) -> list[str]:
    """The arithmetic of one method: its parts that come to anything, at least some of them, and their sum."""
    shown = [part for place, part in enumerate(parts) if part[0] or place < least]
    steps = [f"{method}: {part[1]}" for part in shown]
    total = f"{method} in all: {' + '.join(str(part[0]) for part in shown)} = {sum(part[0] for part in shown)}"
    return [*steps, total] if len(shown) > 1 else steps


def extent(
    service: str,
    girth: int,
    socket: int,
    branch: int = 0,
    welders: int = 0,
    p_number: str = "",
    longitudinal: int = 0,
) -> Extent:
    """Welds to examine by radiography, by eye, and by penetrant or magnetic particles.

    service    as in the table; p_number narrows surface examination and that of longitudinal welds in elevated
               temperature to P-4 and P-5
    Raises     ValueError naming the accepted services
    Source     ASME B31.3 341.4, M341.4, K341.4
    """
    row = next((one for one in table("examination_extent_b31_3").rows if one["service"] == service), None)
    if row is None:
        raise ValueError(f'There is no service "{service}"; accepted are {", ".join(services())}.')
    exempt = bool(row["only_p"]) and bool(p_number) and p_number not in row["only_p"].split()
    every = girth + socket + branch + longitudinal
    films = [_part(row["rt_girth"], girth, "girth", welders), _part(row["rt_branch"], branch, "branch")]
    films += [] if exempt else [_part(row["rt_longitudinal"], longitudinal, "longitudinal")]
    surfaces = [_part(row["surface_socket"], socket, "socket"), _part(row["surface_branch"], branch, "branch")]
    surfaces = [] if exempt else surfaces
    seen = _part(row["vt"], every, "", welders) if row["vt"] else None
    steps = [*_told("radiography", films, 1), *_told("by eye", [seen] if seen else [], 1), *_told("surface", surfaces)]
    if exempt:
        steps.append(f"surface and longitudinal examination is asked of P-4 and P-5, not of P-{p_number}")
    elif row["only_p"] and not p_number:
        steps.append(
            "the P-Number is not given: taken as P-4 or P-5, of which surface and longitudinal welds are asked"
        )
    rt, surface = (sum(part[0] for part in parts) for parts in (films, surfaces))
    vt = seen[0] if seen else None
    tables = (basis("examination_extent_b31_3", row),)
    source = Source("ASME B31.3", "2012", row["clause"], row["state"], tables=tables)
    return Extent(rt, vt, surface, tuple(steps), source)
