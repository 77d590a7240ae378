"""Calculators of examination and testing: imperfections, extents, progressive examination, leak tests."""

import re
from decimal import Decimal
from typing import Any

from rules.acceptance import KINDS, SERVICES, WELDS, letter, source_of
from rules.calculators.asked import Answer, Asked, ComputeError, Fault, refused
from rules.calculators.grouping import p_number
from rules.calculators.sizes import pipe_of
from rules.extent import extent, services
from rules.imperfections import judge
from rules.leak_test import CODES, Stressed, leak_test, read_pressure
from rules.leak_test import KINDS as TESTS
from rules.progressive import AGAIN, IN_ALL, PER_EACH, SOURCE, progressive
from rules.surface_indications import Surface, judge_surface
from rules.units import parse_length


def of_imperfection(asked: Asked) -> Answer:
    """The criterion of an imperfection, its limit, and whether a measurement is accepted."""
    service, weld = asked.choice("service", tuple(SERVICES)), asked.choice("weld", WELDS)
    kind = asked.choice("kind", KINDS)
    symbol = letter(service, weld, kind)
    wall = asked.length("wall")
    found = judge(
        symbol,
        kind,
        wall,
        asked.units,
        measured=asked.maybe_length("measured"),
        length=asked.maybe_length("length"),
        width=asked.maybe_length("width"),
        cumulative=asked.maybe_length("cumulative"),
    )
    shown = re.sub(r"^K(?=.)", "", symbol) if service == "High pressure" else symbol
    result = {"letter": shown or "N/A", "limit_mm": found.limit_mm, "accepted": found.accepted}
    source = source_of(service, weld, kind, wall, asked.units, asked.edition)
    notes = (*found.notes, found.undecided) if found.undecided else found.notes
    return Answer(result, found.steps, source, notes)


def of_surface(asked: Asked) -> Answer:
    """Indications by penetrant or magnetic particles against their acceptance."""
    method = asked.choice("method", ("PT", "MT"))
    seen = Surface(
        rounded=_sizes(asked, "rounded"),
        linear=_sizes(asked, "linear"),
        in_line=asked.count("in_line", 0),
        apart_mm=asked.maybe_length("apart"),
    )
    found = judge_surface(method, seen, asked.units)
    return Answer({"accepted": not found.value, "reasons": list(found.value)}, found.steps, found.source)


def _sizes(asked: Asked, key: str) -> list[Decimal]:
    """Lengths in a list such as `1/16 in, 1/8 in`."""
    parts = [one for one in asked.text(key, "").split(",") if one.strip()]
    with asked.about(key):
        return [parse_length(one, asked.units) for one in parts]


def of_extent(asked: Asked) -> Answer:
    """How many welds to examine."""
    found = extent(
        asked.choice("service", services()),
        asked.count("girth"),
        asked.count("socket"),
        asked.count("branch", 0),
        asked.count("welders", 0),
        p_number(asked, "p"),
        asked.count("longitudinal", 0),
    )
    result = {"rt": found.rt, "vt": found.vt, "surface": found.surface}
    return Answer(result, found.steps, found.source)


def of_progressive(asked: Asked) -> Answer:
    """What rejects in a sample ask next."""
    rounds = [_results(one) for one in asked.text("rounds", "").split("/") if one.strip()]
    available = asked.count("available") if asked.has("available") else None
    reading = asked.choice("reading", (PER_EACH, IN_ALL), PER_EACH)
    with asked.about("rounds"):
        found = progressive(asked.count("rejects"), rounds, available, reading)
    result: dict[str, Any] = {
        "state": found.state,
        "due_now": found.due_now,
        "extra_total": found.extra_total,
        "repairs": found.repairs,
    }
    told = "for each defect of the first batch" if reading == PER_EACH else "in all for the first batch"
    note = f"Two more {told}: a setting, as the text is written for one defect."
    return Answer(result, found.steps, SOURCE, (note, AGAIN) if found.repairs else (note,))


def of_leak_test(asked: Asked) -> Answer:
    """Test pressure and relief setting, in the unit of the design pressure."""
    kind = asked.choice("kind", TESTS)
    with asked.about("design"):
        design, unit = read_pressure(asked.text("design"), asked.units)
    stresses = [asked.maybe_strength(key) for key in ("st", "s")]
    if (stresses[0] is None) != (stresses[1] is None):
        told = "st and s go together: the allowable stress at test and at design temperature."
        raise ComputeError(told, Fault("st" if stresses[0] is None else "s", told))
    code = asked.choice("code", CODES, CODES[0])
    stressed = _stressed(asked)
    with asked.about("st" if stresses[0] is not None else "kind"):
        found = leak_test(kind, design, unit, stresses[0], stresses[1], code, stressed)
    result = {"pressure": found.pressure, "max_pressure": found.max_pressure, "relief": found.relief}
    return Answer(result, found.steps, found.source, found.notes)


def _stressed(asked: Asked) -> Stressed | None:
    """The pipe whose yield caps the test pressure, None where none was given."""
    keys = ("nps", "schedule", "yield")
    if not any(asked.has(key) for key in keys):
        return None
    if missing := [key for key in keys if not asked.has(key)]:
        told = "nps, schedule and yield go together: the pipe and its least yield strength at test temperature."
        raise ComputeError(told, Fault(missing[0], told, is_missing=True))
    return Stressed(pipe_of(asked), asked.strength("yield"))


def _results(text: str) -> list[bool]:
    words = {"pass": True, "accepted": True, "fail": False, "rejected": False}
    results = []
    for one in text.split(","):
        if one.strip().lower() not in words:
            told = f'there is no "{one.strip()}"; accepted are pass and fail, as pass,fail/pass,pass.'
            raise refused(Fault("rounds", told, ("pass", "fail")))
        results.append(words[one.strip().lower()])
    return results
