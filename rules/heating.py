"""Preheat and heat treatment by the edition of B31.3."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from string import ascii_uppercase

from rules.nearest import NotAccepted
from rules.procedure import bare_p
from rules.source import Source
from rules.tables import basis, given, length_of, table
from rules.units import KSI_IN_MPA, MM_PER_INCH, SI, US, parse_temperature, plain, show_length, shown

PREHEAT_EDITIONS = {"2010": "2010", "2014": "2014", "2016": "2014", "2018": "2014"}
TREATMENT_EDITIONS = {"2012": "2012", "2014": "2016", "2016": "2016", "2018": "2016"}
_ANY = "any"
_HUNDREDTH = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Preheat:
    """The least temperature before welding, and whether the edition requires or recommends it."""

    preheat_c: Decimal
    required: bool
    steps: tuple[str, ...]
    notes: tuple[str, ...]
    source: Source


@dataclass(frozen=True, slots=True)
class Treatment:
    """Whether heat treatment is required, its temperatures in °C and its hold in hours."""

    required: bool
    min_c: Decimal | None
    max_c: Decimal | None
    hold_h: Decimal | None
    steps: tuple[str, ...]
    notes: tuple[str, ...]
    source: Source


def preheat(
    edition: str,
    p_number: str,
    thickness_mm: Decimal,
    carbon: Decimal | None = None,
    tensile_mpa: Decimal | None = None,
    units: str = SI,
) -> Preheat:
    """Least preheat for the thicker part, by the figures of the unit system.

    carbon       weight percent; not given: not judged, and noted
    tensile_mpa  specified minimum tensile strength; not given: not judged, and noted
    A P-Number without a row takes that for all others, where the edition has one, and says so; another letter of one
    that has rows, as 5C beside 5A and 5B, does not.
    Raises       ValueError naming the accepted editions or P-Numbers
    Source       ASME B31.3 Table 330.1.1
    """
    known = _edition(edition, PREHEAT_EDITIONS)
    p = _lettered(p_number)
    rows = [row for row in table("preheat_b31_3").rows if row["edition"] == known]
    own = [row for row in rows if p in row["p_numbers"].split()]
    mine = own or ([] if _is_of_a_listed(p, rows) else [row for row in rows if row["p_numbers"] == _ANY])
    if not mine:
        accepted = dict.fromkeys(one for row in rows for one in row["p_numbers"].split() if one != _ANY)
        raise NotAccepted(f"The {edition} table here has no row for P-{p}", p, accepted)
    row = next(one for one in mine if _holds(one, thickness_mm, carbon, tensile_mpa, units))
    strength = "tensile_to_ksi" if units == US else "tensile_to_mpa"
    notes = [
        f"{name.capitalize()} is not given and taken as at most {row[column]}."
        for name, value, column in (("carbon", carbon, "carbon_to"), ("tensile", tensile_mpa, strength))
        if value is None and row[column]
    ]
    if not own:
        notes.append(f"P-{p} has no row of its own: that for all other P-Numbers counts.")
    least = given(temperature_of(row, "preheat", units))
    notes += [*_over_6_chromium(p, mine, least, units), *_for_exemption(edition, p, thickness_mm, least, units)]
    step = f"P-{p}, {show_length(thickness_mm, units)}: {shown(least, '°C', units)}"
    tables = (basis("preheat_b31_3", row),)
    source = Source("ASME B31.3", edition, "Table 330.1.1", _state(row, units), tables=tables)
    return Preheat(least, row["required"] == "yes", (step,), tuple(notes), source)


def _is_of_a_listed(p: str, rows: Sequence[Mapping[str, str]]) -> bool:
    """Whether other letters of a P-Number have rows: 5C is an alloy like 5A and 5B, and not among all others."""
    listed = {one for row in rows for one in row["p_numbers"].split()}
    number = p.rstrip(ascii_uppercase)
    return any(one != number and one.rstrip(ascii_uppercase) == number for one in listed)


def _over_6_chromium(p: str, mine: Sequence[Mapping[str, str]], least: Decimal, units: str) -> list[str]:
    """A note on P-5B, which has a row for over 6 % chromium besides: its figure is that of the stronger."""
    most = max(given(temperature_of(row, "preheat", units)) for row in mine)
    return [f"P-5B over 6 % chromium asks for {shown(most, '°C', units)}."] if p == "5B" and least < most else []


def heat_treatment(
    edition: str,
    p_number: str,
    thickness_mm: Decimal,
    *,
    preheat_c: Decimal | None = None,
    several_layers: bool | None = None,
    carbon: Decimal | None = None,
    throat_mm: Decimal | None = None,
    units: str = SI,
) -> Treatment:
    """Whether heat treatment is required after welding, and how, by the figures of the unit system.

    thickness_mm    nominal wall; of the pipe for a socket weld, whose fitting's thickness is ignored
    preheat_c       applied; not given: taken as not applied
    several_layers  not given: taken as several, and noted
    throat_mm       of a fillet: limited for the exemption of P-4
    Raises          ValueError naming the accepted editions or P-Numbers
    Source          ASME B31.3 Tables 331.1.1 and 331.1.3
    """
    known = _edition(edition, TREATMENT_EDITIONS)
    p = _lettered(p_number)
    clause = "Table 331.1.1" if known == "2012" else "Tables 331.1.1 and 331.1.3"
    rows = _treatments(known)
    if p not in rows:
        raise NotAccepted(f"The {edition} table here has no row for P-{p}", p, rows)
    row = rows[p]
    tables = (basis("heat_treatment_b31_3", row),)
    source = Source("ASME B31.3", edition, clause, _state(row, units), tables=tables)
    if not row["min_c"]:
        return Treatment(False, None, None, None, (f"P-{p}: none unless the procedure asks",), (), source)
    weld = _Weld(thickness_mm, preheat_c, several_layers, carbon, throat_mm, units)
    against, notes = _against(row, weld)
    wall = show_length(thickness_mm, units)
    if not against:
        return Treatment(False, None, None, None, (f"P-{p}, {wall}: exempt",), notes, source)
    hold = _hold(row, thickness_mm, units)
    steps = (*against, f"hold {plain(hold.quantize(_HUNDREDTH))} h for {wall}")
    least, most = (temperature_of(row, name, units) for name in ("min", "max"))
    return Treatment(True, least, most, hold, steps, notes, source)


def temperature_of(row: Mapping[str, str], name: str, units: str) -> Decimal | None:
    """A temperature of a row in °C, from the column of the unit system (`name_f` or `name_c`); None where empty."""
    text = row[f"{name}_{'f' if units == US else 'c'}"]
    if not text:
        return None
    return parse_temperature(text, US) if units == US else Decimal(text)


@dataclass(frozen=True, slots=True)
class _Weld:
    """What an exemption depends on."""

    thickness: Decimal
    preheat_c: Decimal | None
    several_layers: bool | None
    carbon: Decimal | None
    throat: Decimal | None
    units: str


def _lettered(p_number: str) -> str:
    """A bare P-Number; raises ValueError naming its letters where it has some and none is given, as P-5."""
    p = bare_p(p_number)
    known = (one for row in table("p_numbers_qw423").rows for one in row["p_numbers"].split())
    if letters := [one for one in dict.fromkeys(known) if p.isdigit() and one.rstrip(ascii_uppercase) == p != one]:
        raise NotAccepted(f"P-{p} alone does not say which: it has letters", p, letters)
    return p


def _treatments(edition: str) -> dict[str, Mapping[str, str]]:
    return {row["p_number"]: row for row in table("heat_treatment_b31_3").rows if row["edition"] == edition}


def _for_exemption(edition: str, p: str, thickness: Decimal, least: Decimal, units: str) -> list[str]:
    """A note where the exemption from heat treatment asks for more preheat than the table of preheat does."""
    row = _treatments(TREATMENT_EDITIONS[edition]).get(p) if edition in TREATMENT_EDITIONS else None
    over = length_of(row, "preheat_over", units) if row else None
    if row is None or over is None or thickness <= over:
        return []
    asked = given(temperature_of(row, "preheat", units))
    if least >= asked:
        return []
    told = shown(asked, "°C", units)
    return [f"{told} is needed to use the exemption from heat treatment of Table 331.1.3."]


def _against(row: Mapping[str, str], weld: _Weld) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What stands against the exemption, and what was taken for granted."""
    units = weld.units
    if not row["exempt_to_mm"]:
        return ("no exemption stands in the table here",), ("An exemption may apply: read the edition.",)
    most = None if row["exempt_to_mm"] == "any" else length_of(row, "exempt_to", units)
    against = _over("", weld.thickness, most, units)
    notes: list[str] = []
    over, asked = length_of(row, "preheat_over", units), temperature_of(row, "preheat", units)
    if over is not None and asked is not None and weld.thickness > over and (weld.preheat_c or -273) < asked:
        applied = "none given" if weld.preheat_c is None else shown(weld.preheat_c, "°C", units)
        told = f"over {show_length(over, units)} the exemption asks for a preheat of {shown(asked, '°C', units)}"
        against.append(f"{told} ({applied})")
    if row["carbon_to"]:
        if weld.carbon is None:
            notes.append(f"Carbon is not given and taken as at most {row['carbon_to']} %.")
        elif weld.carbon > Decimal(row["carbon_to"]):
            against.append(f"carbon {weld.carbon} is over {row['carbon_to']} %")
    layers_over = length_of(row, "layers_over", units)
    if layers_over is not None and weld.thickness > layers_over:
        if weld.several_layers is None:
            notes.append("Several layers are taken for granted.")
        elif not weld.several_layers:
            against.append(f"over {show_length(layers_over, units)} the exemption asks for several layers")
    if weld.throat is not None:
        against += _over("throat ", weld.throat, length_of(row, "throat_to", units), units)
    return tuple(against), tuple(notes)


def _over(what: str, value: Decimal, most: Decimal | None, units: str) -> list[str]:
    if most is None or value <= most:
        return []
    return [f"{what}{show_length(value, units)} is over {show_length(most, units)}"]


def _hold(row: Mapping[str, str], thickness: Decimal, units: str) -> Decimal:
    """One hour for each 25 mm (1 in); over the long thickness its own hours and more for each further 25 mm (1 in)."""
    each = MM_PER_INCH if units == US else Decimal(25)
    over = length_of(row, "long_over", units)
    if over is not None and thickness > over:
        return Decimal(row["long_h"]) + (thickness - over) / each * Decimal(row["long_more_h"])
    return max(Decimal(row["hold_least_h"]), thickness / each)


def _holds(
    row: Mapping[str, str], thickness: Decimal, carbon: Decimal | None, tensile: Decimal | None, units: str
) -> bool:
    strength = tensile
    if units == US and tensile is not None:
        strength = (tensile / KSI_IN_MPA).quantize(_HUNDREDTH)
    bounds = (("carbon_to", carbon), ("tensile_to_ksi" if units == US else "tensile_to_mpa", strength))
    if any(row[name] and value is not None and value > Decimal(row[name]) for name, value in bounds):
        return False
    to, under = length_of(row, "thickness_to", units), length_of(row, "thickness_under", units)
    return (to is None or thickness <= to) and (under is None or thickness < under)


def _state(row: Mapping[str, str], units: str) -> str:
    return row["state_us" if units == US else "state"]


def _edition(edition: str, known: Mapping[str, str]) -> str:
    if edition not in known:
        raise NotAccepted(f'Edition "{edition}" is not in the tables here', edition, known)
    return known[edition]
