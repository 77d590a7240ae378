"""Preheat and heat treatment by the edition of B31.3."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from rules.nearest import NotAccepted
from rules.procedure import bare_p
from rules.source import Source
from rules.tables import table

PREHEAT_EDITIONS = {"2010": "2010", "2014": "2014", "2016": "2014", "2018": "2014"}
TREATMENT_EDITIONS = {"2012": "2012", "2014": "2016", "2016": "2016", "2018": "2016"}
_SEVERAL_LAYERS_OVER_MM = 5
_LONG_HOLD_OVER_MM = 50


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
) -> Preheat:
    """Least preheat for the thicker part.

    carbon       weight percent; not given: not judged, and noted
    tensile_mpa  specified minimum tensile strength; not given: not judged, and noted
    Raises       ValueError naming the accepted editions or P-Numbers
    Source       ASME B31.3 Table 330.1.1
    """
    known = _edition(edition, PREHEAT_EDITIONS)
    p = bare_p(p_number)
    rows = [row for row in table("preheat_b31_3").rows if row["edition"] == known]
    mine = [row for row in rows if p in row["p_numbers"].split()] or [row for row in rows if row["p_numbers"] == "any"]
    if not mine:
        accepted = dict.fromkeys(one for row in rows for one in row["p_numbers"].split())
        raise NotAccepted(f"The {edition} table here has no row for P-{p}", p, accepted)
    row = next(one for one in mine if _holds(one, thickness_mm, carbon, tensile_mpa))
    notes = []
    for name, value, column in (("carbon", carbon, "carbon_to"), ("tensile", tensile_mpa, "tensile_to_mpa")):
        if value is None and row[column]:
            notes.append(f"{name.capitalize()} is not given and taken as at most {row[column]}.")
    if known == "2014" and p == "1" and thickness_mm > 25 and row["preheat_c"] == "10":
        notes.append("95 °C is needed to use the exemption from heat treatment of Table 331.1.3.")
    step = f"P-{p}, {thickness_mm:f} mm: {row['preheat_c']} °C"
    source = Source("ASME B31.3", edition, "Table 330.1.1", row["state"])
    return Preheat(Decimal(row["preheat_c"]), row["required"] == "yes", (step,), tuple(notes), source)


def heat_treatment(
    edition: str,
    p_number: str,
    thickness_mm: Decimal,
    *,
    preheat_c: Decimal | None = None,
    several_layers: bool | None = None,
    carbon: Decimal | None = None,
    throat_mm: Decimal | None = None,
) -> Treatment:
    """Whether heat treatment is required after welding, and how.

    thickness_mm    nominal wall; of the pipe for a socket weld, whose fitting's thickness is ignored
    preheat_c       applied; not given: taken as not applied
    several_layers  not given: taken as several, and noted
    throat_mm       of a fillet: at most 13 mm for the exemption of P-4
    Raises          ValueError naming the accepted editions or P-Numbers
    Source          ASME B31.3 Tables 331.1.1 and 331.1.3
    """
    known = _edition(edition, TREATMENT_EDITIONS)
    p = bare_p(p_number)
    clause = "Table 331.1.1" if known == "2012" else "Tables 331.1.1 and 331.1.3"
    source = Source("ASME B31.3", edition, clause, "checked")
    if p == "8":
        return Treatment(False, None, None, None, ("P-8: none unless the procedure asks",), (), source)
    rows = {row["p_number"]: row for row in table("heat_treatment_b31_3").rows if row["edition"] == known}
    if p not in rows:
        raise NotAccepted(f"The {edition} table here has no row for P-{p}", p, [*rows, "8"])
    row = rows[p]
    against, notes = _against(row, thickness_mm, preheat_c, several_layers, carbon, throat_mm)
    if not against:
        return Treatment(False, None, None, None, (f"P-{p}, {thickness_mm:f} mm: exempt",), notes, source)
    hold = _hold(row, thickness_mm, known)
    steps = (*against, f"hold {hold.normalize():f} h for {thickness_mm:f} mm")
    return Treatment(True, Decimal(row["min_c"]), Decimal(row["max_c"]), hold, steps, notes, source)


def _against(
    row: Mapping[str, str],
    thickness: Decimal,
    preheat_c: Decimal | None,
    several_layers: bool | None,
    carbon: Decimal | None,
    throat: Decimal | None,
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What stands against the exemption, and what was taken for granted."""
    against: list[str] = []
    notes: list[str] = []
    most = row["exempt_to_mm"]
    if not most:
        return ("no exemption stands in the table here",), ("An exemption may apply: read the edition.",)
    if most != "any" and thickness > Decimal(most):
        against.append(f"{thickness:f} mm is over {most} mm")
    over = row["preheat_over_mm"]
    if over and thickness > Decimal(over) and (preheat_c is None or preheat_c < Decimal(row["preheat_c"])):
        given = "none given" if preheat_c is None else f"{preheat_c:f} °C"
        against.append(f"over {over} mm the exemption asks for a preheat of {row['preheat_c']} °C ({given})")
    if row["carbon_to"]:
        if carbon is None:
            notes.append(f"Carbon is not given and taken as at most {row['carbon_to']} %.")
        elif carbon > Decimal(row["carbon_to"]):
            against.append(f"carbon {carbon} is over {row['carbon_to']} %")
    if row["edition"] != "2012" and thickness > _SEVERAL_LAYERS_OVER_MM:
        if several_layers is None:
            notes.append("Several layers are taken for granted.")
        elif not several_layers:
            against.append("over 5 mm the exemption asks for several layers")
    if throat is not None and throat > 13:
        against.append(f"throat {throat:f} mm is over 13 mm")
    return tuple(against), tuple(notes)


def _hold(row: Mapping[str, str], thickness: Decimal, edition: str) -> Decimal:
    """One hour for 25 mm; from 2014 on over 50 mm two hours and a quarter for each further 25 mm."""
    if edition != "2012" and thickness > _LONG_HOLD_OVER_MM:
        return 2 + (thickness - 50) / 25 / 4
    return max(Decimal(row["hold_least_h"]), thickness / 25)


def _holds(row: Mapping[str, str], thickness: Decimal, carbon: Decimal | None, tensile: Decimal | None) -> bool:
    bounds = (("carbon_to", carbon), ("tensile_to_mpa", tensile), ("thickness_to_mm", thickness))
    if any(row[name] and value is not None and value > Decimal(row[name]) for name, value in bounds):
        return False
    return not row["thickness_under_mm"] or thickness < Decimal(row["thickness_under_mm"])


def _edition(edition: str, known: Mapping[str, str]) -> str:
    if edition not in known:
        raise NotAccepted(f'Edition "{edition}" is not in the tables here', edition, known)
    return known[edition]
