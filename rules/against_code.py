"""Whether a procedure is enough for what the code asks: preheat, heat treatment, progression, filler, deposit."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from rules.facts import ProcedureFacts
from rules.heating import PREHEAT_EDITIONS, TREATMENT_EDITIONS, heat_treatment, preheat
from rules.limits import listed
from rules.procedure import Outside, bare_p
from rules.ranges import f_number_of
from rules.units import show_length, shown

_NONE = ("no", "none")


@dataclass(frozen=True, slots=True)
class Asked:
    """What is known of a weld beside its sizes and base metals; empty or None: not known, and not judged.

    thickness_mm   of the thicker part; deposit_mm what one process deposits
    """

    edition: str
    thickness_mm: Decimal
    p_numbers: tuple[str, ...]
    units: str
    progression: str = ""
    filler: str = ""
    deposit_mm: Decimal | None = None
    carbon: Decimal | None = None
    tensile_mpa: Decimal | None = None
    several_layers: bool | None = None
    throat_mm: Decimal | None = None


def short_of(procedure: ProcedureFacts, asked: Asked) -> tuple[Outside, ...]:
    """Every variable in which a procedure is not enough; what it does not say is not judged.

    Source    ASME B31.3 Tables 330.1.1, 331.1.1 and 331.1.3 by edition; the procedure's own ranges
    """
    return (
        *_preheat(procedure, asked),
        *_treatment(procedure, asked),
        *_progression(procedure, asked),
        *_filler(procedure, asked),
        *_deposit(procedure, asked),
    )


def _preheat(procedure: ProcedureFacts, asked: Asked) -> Iterator[Outside]:
    if procedure.preheat_min_c is None or asked.edition not in PREHEAT_EDITIONS:
        return
    found = [
        preheat(asked.edition, p, asked.thickness_mm, asked.carbon, asked.tensile_mpa, asked.units)
        for p in asked.p_numbers
    ]
    most = max(found, key=lambda one: one.preheat_c, default=None)
    if most and most.required and procedure.preheat_min_c < most.preheat_c:
        limit = f"at least {shown(most.preheat_c, '°C', asked.units)} ({most.source})"
        yield Outside("preheat", shown(procedure.preheat_min_c, "°C", asked.units), limit)


def _treatment(procedure: ProcedureFacts, asked: Asked) -> Iterator[Outside]:
    if procedure.pwht.strip().lower() not in _NONE or asked.edition not in TREATMENT_EDITIONS:
        return
    for p in dict.fromkeys(map(bare_p, asked.p_numbers)):
        found = heat_treatment(
            asked.edition,
            p,
            asked.thickness_mm,
            preheat_c=procedure.preheat_min_c,
            several_layers=asked.several_layers,
            carbon=asked.carbon,
            throat_mm=asked.throat_mm,
            units=asked.units,
        )
        if found.required and found.min_c is not None and found.max_c is not None:
            between = f"{shown(found.min_c, '°C', asked.units)} to {shown(found.max_c, '°C', asked.units)}"
            yield Outside("heat treatment", "none", f"P-{p} asks for {between} ({found.source})")


def _progression(procedure: ProcedureFacts, asked: Asked) -> Iterator[Outside]:
    has, allowed = (_direction(one) for one in (asked.progression, procedure.progression))
    if has and allowed and has != allowed:
        yield Outside("progression", has, f"covers {allowed}")


def _direction(text: str) -> str:
    plain = text.lower()
    return "down" if "down" in plain else "up" if "up" in plain else ""


def _filler(procedure: ProcedureFacts, asked: Asked) -> Iterator[Outside]:
    named = [row.filler for row in procedure.passes if row.filler]
    if not asked.filler or not named or asked.filler.casefold() in {one.casefold() for one in named}:
        return
    number = f_number_of(asked.filler)
    told = f"{asked.filler} (F-{number})" if number else asked.filler
    yield Outside("filler", told, f"covers {listed(list(dict.fromkeys(named)))}")


def _deposit(procedure: ProcedureFacts, asked: Asked) -> Iterator[Outside]:
    most = procedure.deposit_max_mm
    if most is not None and asked.deposit_mm is not None and asked.deposit_mm > most:
        has, limit = (show_length(one, asked.units) for one in (asked.deposit_mm, most))
        yield Outside("deposit thickness", has, f"at most {limit}")
