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
    seams = 0 if exempt else share(Decimal(row["rt_longitudinal"]), longitudinal)
    rt = share(Decimal(row["rt_girth"]), girth, welders) + share(Decimal(row["rt_branch"]), branch) + seams
    every = girth + socket + branch + longitudinal
    vt = share(Decimal(row["vt"]), every, welders) if row["vt"] else None
    surface = share(Decimal(row["surface_socket"]), socket) + share(Decimal(row["surface_branch"]), branch)
    steps = [f"radiography: {row['rt_girth']} % of {counted_welds(girth, 'girth')}, rounded up = {rt}"]
    if vt is not None:
        steps.append(f"by eye: {row['vt']} % of {counted_welds(every)}, rounded up = {vt}")
    if seams:
        steps.append(
            f"radiography: {row['rt_longitudinal']} % of {counted_welds(longitudinal, 'longitudinal')} = {seams}"
        )
    if exempt:
        surface = 0
        steps.append(f"surface and longitudinal examination is asked of P-4 and P-5, not of P-{p_number}")
    tables = (basis("examination_extent_b31_3", row),)
    source = Source("ASME B31.3", "2012", row["clause"], row["state"], tables=tables)
    return Extent(rt, vt, surface, tuple(steps), source)
