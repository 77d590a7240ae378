"""Calculators of people: what a test qualifies, and until when."""

import re
from datetime import date
from typing import Any

from rules.acceptance import FILLET_KINDS
from rules.calculators.asked import Answer, Asked, ComputeError, Fault
from rules.calculators.grouping import f_number, p_number, process, transfer
from rules.continuity import SOURCE, base_process, continuity, expires
from rules.facts import QualificationFacts
from rules.nearest import NotAccepted
from rules.positions import in_words, needed
from rules.ranges import (
    FAMILY_EDITION,
    FAMILY_EDITIONS,
    LARGE_MM,
    SMALL_PIPE_MM,
    SMALL_PIPE_US_MM,
    fillet_test_range,
    is_groove,
    known_test_positions,
    least_od,
    most_deposit,
    positions_for,
    source,
)
from rules.units import US, show_length
from rules.welder import Need, Shortfall, shortfalls

_NO_DAY = date(1970, 1, 1)
JOINT_KINDS = ("socket", "butt", "branch", "olet", "pad", "slip-on", "seal", "attachment")
PLACES = ("flat", "horizontal", "vertical", "overhead")
_ABOUT_JOINT = (
    "joint_kind",
    "joint_od",
    "joint_position",
    "joint_thickness",
    "joint_p",
    "joint_f",
    "joint_backing",
    "joint_tack",
)


def of_range(asked: Asked) -> Answer:
    """What a performance test covers, and whether it covers one joint."""
    test = _test(asked)
    groove = is_groove(test)
    least = least_od(test, asked.units)
    if test.coupon == "plate":
        least = SMALL_PIPE_US_MM if asked.units == US else SMALL_PIPE_MM
    most, deposit_step, deposit_source = most_deposit(test, asked.units)
    result: dict[str, Any] = {
        "min_od_mm": least,
        "max_deposit_mm": most if groove else None,
        "positions": _positions(test, groove),
        "qualified": None,
        "reasons": [],
    }
    steps = [deposit_step] if groove else ["a fillet test qualifies fillets only"]
    if least is not None:
        steps.insert(0, f"outside diameter from {show_length(least, asked.units)} ({_diameter_clause(test)})")
    if any(asked.has(key) for key in _ABOUT_JOINT):
        gaps = _gaps(asked, test)
        result |= {"qualified": not gaps, "reasons": [str(gap) for gap in gaps]}
    notes = ["A groove test covers fillets of every size and diameter (QW-452.6)."] if groove else []
    if asked.has("coupon_thickness") and not groove and test.coupon == "plate":
        with asked.about("coupon_thickness"):
            steps += fillet_test_range(asked.length("coupon_thickness"), asked.units).steps
    return Answer(result, steps, deposit_source if groove else source("QW-452.4"), notes)


def of_continuity(asked: Asked) -> Answer:
    """When a process lapses."""
    last = asked.day("last_used")
    used = process(asked, "process")
    ends = expires(last)
    if not asked.has("as_of"):
        step = f"last used {last} + 6 months = {ends}"
        return Answer({"expires": ends.isoformat(), "alive": None}, (step,), SOURCE, _of_process(used))
    verdict = continuity(last, asked.day("as_of"))
    result = {"expires": ends.isoformat(), "alive": verdict.value}
    return Answer(result, verdict.steps, verdict.source, _of_process(used))


def _of_process(used: str) -> list[str]:
    return [f"This holds for every qualification by {base_process(used)}."] if used else []


def _test(asked: Asked) -> QualificationFacts:
    """The test as facts; its day plays no part."""
    weld = asked.choice("weld", ("groove", "fillet"))
    coupon = asked.choice("coupon", ("pipe", "plate"))
    positions = re.split(r"[+,\s]+", asked.text("position").upper())
    known = known_test_positions(coupon)
    if wrong := next((one for one in positions if one not in known), ""):
        with asked.about("position"):
            raise NotAccepted(f'There is no "{wrong}" for {coupon}', wrong, known)
    od = asked.maybe_length("od")
    if coupon == "pipe" and od is None:
        told = "A pipe coupon needs its outside diameter."
        raise ComputeError(f"od is missing: {told}", Fault("od", told, is_missing=True))
    return QualificationFacts(
        wpq="test",
        process=process(asked, "process") or asked.text("process"),
        tested_on=_NO_DAY,
        p_number=p_number(asked, "p"),
        f_number=f_number(asked, "f"),
        positions=tuple(positions),
        coupon=coupon,
        coupon_diameter_mm=od,
        deposit_mm=asked.length("deposit"),
        weld=weld,
        layers=asked.count("layers") if asked.has("layers") else None,
        backing=asked.choice("backing", ("yes", "no"), "") if asked.has("backing") else "",
        transfer=transfer(asked, "transfer"),
    )


def _gaps(asked: Asked, test: QualificationFacts) -> list[Shortfall]:
    """What of the joint the test does not cover, each once."""
    kind = asked.choice("joint_kind", JOINT_KINDS, "socket" if not is_groove(test) else "butt")
    place = (
        asked.choice("joint_position", (*PLACES, *known_test_positions("pipe"), "all"), "")
        if asked.has("joint_position")
        else ""
    )
    fillet = kind in FILLET_KINDS
    need = Need(
        process=test.process,
        fillet=fillet,
        od_mm=asked.length("joint_od", LARGE_MM),
        deposit_mm=None if fillet else asked.maybe_length("joint_thickness"),
        positions=needed(place) if place else frozenset(),
        p_numbers=tuple(filter(None, (p_number(asked, "joint_p"),))),
        f_number=f_number(asked, "joint_f").split(",")[0],
        backing=True if fillet else asked.yes("joint_backing") if asked.has("joint_backing") else None,
        progression="",
        units=asked.units,
        edition=asked.choice("edition", FAMILY_EDITIONS, FAMILY_EDITION),
        tack=asked.yes("joint_tack", "no"),
    )
    letters = sorted(need.positions) or [""]
    return list(dict.fromkeys(gap for letter in letters for gap in shortfalls(test, need, letter)))


def _positions(test: QualificationFacts, groove: bool) -> dict[str, Any]:
    """Positions by kind of weld and size of pipe, as letters with their words."""
    tiny = SMALL_PIPE_MM - 1
    rows = {"fillet under 73 mm": (True, tiny), "fillet from 73 mm": (True, SMALL_PIPE_MM)}
    if groove:
        rows |= {"groove under 73 mm": (False, tiny), "groove 73 to 610 mm": (False, SMALL_PIPE_MM)}
    table: dict[str, Any] = {name: in_words(positions_for(test, fillet, od)) for name, (fillet, od) in rows.items()}
    if groove:
        table["groove over 610 mm and plate"] = in_words(positions_for(test, False, None))
    return table


def _diameter_clause(test: QualificationFacts) -> str:
    if test.coupon == "plate":
        return "QW-461.9"
    return "QW-452.3" if is_groove(test) else "QW-452.4"
