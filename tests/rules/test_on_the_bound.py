"""A value on its bound passes and one unit beyond departs, in US and SI as typed, for each requirement that is a range."""

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from rules import units
from rules.certificate import check as check_certificate
from rules.compare import departs
from rules.facts import JobFacts, JointFacts, SpecificationFacts
from rules.finding import Requirement
from rules.judge import requirements
from tests.rules.cast import JOB, PROCEDURE, SI_JOB, D, examination, fit_up, heat, planned, procedure_pass, weld_pass

US, SI = units.US, units.SI
JOBS = {US: JOB, SI: SI_JOB}
_READ = {
    "length": units.parse_length, "temperature": units.parse_temperature, "travel": units.parse_travel,
    "heat input": units.parse_heat_input, "amps": lambda text, _: units.parse_current(text),
    "volts": lambda text, _: units.parse_voltage(text),
}  # fmt: skip


def kept(kind: str, text: str, system: str) -> Decimal:
    """A quantity as it is typed and then kept: lengths to six places, all else to four."""
    return _READ[kind](text, system).quantize(D("0.000001") if kind == "length" else D("0.0001"))


# Requirement; kind of quantity; procedure's field; record's field; by system: limit and one unit beyond, as typed.
BOUNDS: list[tuple[str, str, str, str, dict[str, tuple[str, str]]]] = [
    ("gap", "length", "gap_min_mm", "gap_mm", {US: ("1/16", "3/64"), SI: ("1.6", "1.5")}),
    ("gap", "length", "gap_max_mm", "gap_mm", {US: ("1/8", "9/64"), SI: ("3.2", "3.3")}),
    ("squareness", "length", "squareness_max_mm", "squareness_mm", {US: ("1/16", "5/64"), SI: ("1.6", "1.7")}),
    ("high-low", "length", "high_low_max_mm", "high_low_mm", {US: ("1/16", "5/64"), SI: ("1.6", "1.7")}),
    ("preheat", "temperature", "preheat_min_c", "preheat_c", {US: ("50", "49"), SI: ("10", "9")}),
    ("preheat", "temperature", "preheat_min_c", "preheat_c", {US: ("200 F", "199 F"), SI: ("95 C", "94 C")}),
    ("interpass", "temperature", "interpass_max_c", "interpass_c", {US: ("350", "351"), SI: ("175", "176")}),
    ("interpass", "temperature", "interpass_max_c", "interpass_c", {US: ("175 C", "176 C"), SI: ("350 F", "351 F")}),
    ("amps:root", "amps", "amps_min", "amps", {US: ("90", "89"), SI: ("90", "89")}),
    ("amps:root", "amps", "amps_max", "amps", {US: ("150", "151"), SI: ("150 A", "151 A")}),
    ("volts:root", "volts", "volts_min", "volts", {US: ("9", "8"), SI: ("9", "8")}),
    ("volts:root", "volts", "volts_max", "volts", {US: ("14", "15"), SI: ("14", "15")}),
    ("travel:root", "travel", "travel_min", "travel_mm_min", {US: ("3", "2"), SI: ("70", "69")}),
    ("travel:root", "travel", "travel_max", "travel_mm_min", {US: ("6 ipm", "7 ipm"), SI: ("160", "161")}),
]  # fmt: skip
# 25 V and 6 in/min or 150 mm/min: by QW-409.1(a) 4 A are 1 kJ/in, and 1 A is 0.01 kJ/mm.
HEAT_INPUTS = [
    *((US, f"{most} kJ/in", D(4 * most)) for most in range(10, 101)),
    *((SI, f"{D(most) / 100} kJ/mm", D(most)) for most in range(50, 251)),
]
OF_ROWS = ("amps_min", "amps_max", "volts_min", "volts_max", "travel_min", "travel_max")
BARE = replace(
    PROCEDURE, passes=(procedure_pass("root", amps_min=None, amps_max=None),), gap_min_mm=None, gap_max_mm=None,
    squareness_max_mm=None, high_low_max_mm=None, preheat_min_c=None, interpass_max_c=None, heat_input_max_kj_mm=None,
)  # fmt: skip


def asked(joint: JointFacts, job: JobFacts, id: str) -> Requirement:
    return next(one for one in requirements(joint, job) if one.id == id)


def limited(field: str, value: Decimal) -> JointFacts:
    """A joint whose procedure sets this limit alone."""
    if field in OF_ROWS:
        return planned(procedure=replace(BARE, passes=(replace(BARE.passes[0], **{field: value}),)))
    return planned(procedure=replace(BARE, **{field: value}))


def recorded(field: str, value: Decimal) -> Any:
    """A record that says this alone."""
    if field in ("gap_mm", "squareness_mm", "high_low_mm"):
        return fit_up(**{"gap_mm": None, field: value})
    return weld_pass(1, "root", **{"amps": None, "volts": None, "travel_mm_min": None, field: value})


def cases() -> Iterator[tuple[str, str, str, str, str, str, str]]:
    for id, kind, limit, field, typed in BOUNDS:
        for system, (on, beyond) in typed.items():
            yield id, kind, limit, field, system, on, beyond


@pytest.mark.parametrize(("id", "kind", "limit", "field", "system", "on", "beyond"), list(cases()))
def test_on_the_bound_passes_and_one_unit_beyond_departs(
    id: str, kind: str, limit: str, field: str, system: str, on: str, beyond: str
) -> None:
    requirement = asked(limited(limit, kept(kind, on, system)), JOBS[system], id)
    assert departs(requirement, recorded(field, kept(kind, on, system))) is None
    found = departs(requirement, recorded(field, kept(kind, beyond, system)))
    assert found and found.bound == ("least" if "_min" in limit else "greatest")


@pytest.mark.parametrize(("system", "most", "amps"), HEAT_INPUTS)
def test_a_heat_input_on_the_bound_passes_and_one_ampere_more_departs(system: str, most: str, amps: Decimal) -> None:
    joint = limited("heat_input_max_kj_mm", kept("heat input", most, system))
    requirement = asked(joint, JOBS[system], "heat-input")
    travel, length = ("6", "6") if system == US else ("150", "150")
    by_speed = {"volts": D(25), "travel_mm_min": kept("travel", travel, system)}
    by_time = {"volts": D(25), "travel_mm_min": None, "length_mm": kept("length", length, system), "arc_time_s": D(60)}
    for said in (by_speed, by_time):
        assert departs(requirement, weld_pass(1, "root", amps=amps, **said)) is None
        assert departs(requirement, weld_pass(1, "root", amps=amps + 1, **said))


def test_a_heat_input_of_the_other_system_keeps_its_bound() -> None:
    in_si = asked(limited("heat_input_max_kj_mm", kept("heat input", "40 kJ/in", SI)), SI_JOB, "heat-input")
    in_us = asked(limited("heat_input_max_kj_mm", kept("heat input", "1.375 kJ/mm", US)), JOB, "heat-input")
    on = weld_pass(1, "root", volts=D(25), amps=D(160), travel_mm_min=kept("travel", "6 ipm", SI))
    assert departs(in_si, on) is None and departs(in_si, replace(on, amps=D(161)))
    on = weld_pass(1, "root", volts=D(22), amps=D(100), travel_mm_min=D(96))
    assert departs(in_us, on) is None and departs(in_us, replace(on, amps=D(101)))


@pytest.mark.parametrize("readings", [("1/16", "1/8", "3/32", "1/8"), ("3/64", "7/64", "5/64", "3/32")])
def test_squareness_from_readings_on_the_bound_passes(readings: tuple[str, ...]) -> None:
    at = dict(zip(("12", "3", "6", "9"), (kept("length", one, US) for one in readings), strict=True))
    requirement = asked(limited("squareness_max_mm", kept("length", "1/16", US)), JOB, "squareness")
    assert departs(requirement, fit_up(gap_mm=None, gaps_mm=at)) is None
    assert departs(requirement, fit_up(gap_mm=None, gaps_mm=at | {"3": kept("length", "9/64", US)}))


# The leg by hand: 1.09 x 4.55 mm = 4.9595 mm; in inches 1.09 x 0.179 in = 0.19511 in. Undercut, criterion H, of a wall
# of 4.55 mm: the smaller of 1 mm and a quarter of it, 1.1375 mm; in inches of 1/32 in and 0.04475 in.
@pytest.mark.parametrize(
    ("id", "field", "system", "on", "beyond"),
    [
        ("leg", "leg_a_mm", SI, "4.9595", "4.9594"), ("leg", "leg_a_mm", US, "0.19511", "0.1951"),
        ("leg", "leg_a_mm", US, "7/32", "3/16"),
        ("undercut", "undercut_mm", SI, "1", "1.1"), ("undercut", "undercut_mm", US, "1/32", "3/64"),
    ],
)  # fmt: skip
def test_what_the_code_limits_holds_on_the_bound(id: str, field: str, system: str, on: str, beyond: str) -> None:
    requirement = asked(planned(), JOBS[system], id)
    assert departs(requirement, examination(**{field: kept("length", on, system)})) is None
    assert departs(requirement, examination(**{field: kept("length", beyond, system)}))


OWNERS = {"gap on film min": ("gap-on-film", "1/64", "0"), "gap on film max": ("gap-on-film", "1/16", "5/64")}


@pytest.mark.parametrize("limit", OWNERS)
def test_what_the_owner_limits_holds_on_the_bound(limit: str) -> None:
    id, on, beyond = OWNERS[limit]
    job = replace(JOB, specification=(SpecificationFacts(limit, kept("length", on, US), "PS-110", "6.3"),))
    (requirement,) = (one for one in requirements(planned(), job) if one.term == ["field", "gap_on_film_mm"])
    assert departs(requirement, examination(gap_on_film_mm=kept("length", on, US))) is None
    assert departs(requirement, examination(gap_on_film_mm=kept("length", beyond, US)))


def test_no_range_is_left_out() -> None:
    rows = tuple(
        procedure_pass(role, volts_min=D(9), travel_min=D(70), filler_diameter_mm=D(2)) for role in ("root", "cap")
    )
    specification = tuple(SpecificationFacts(limit, D(1), "PS-110", "6.3") for limit in OWNERS)
    asked_of = requirements(
        planned(procedure=replace(PROCEDURE, passes=rows)), replace(JOB, specification=specification)
    )
    ranges = {one.id.split(":")[0] for one in asked_of if one.test == "range"}
    # The diameter of filler has a tolerance and its own tests.
    held = {id.split(":")[0] for id, *_ in BOUNDS} | {"heat-input", "leg", "undercut", "filler-diameter"}
    assert ranges == held | {one.id for one in asked_of if one.term == ["field", "gap_on_film_mm"]}


# A106 Gr. B: yield at least 35 ksi or 240 MPa, tensile 60 ksi or 415 MPa (ASTM A106).
@pytest.mark.parametrize(
    ("system", "name", "on", "beyond"),
    [
        (US, "yield_mpa", "35 ksi", "34 ksi"), (US, "yield_mpa", "35000 psi", "34000 psi"),
        (US, "yield_mpa", "241 MPa", "234 MPa"), (SI, "yield_mpa", "240 MPa", "239 MPa"),
        (SI, "yield_mpa", "35 ksi", "34 ksi"), (US, "tensile_mpa", "60 ksi", "59 ksi"),
        (SI, "tensile_mpa", "415 MPa", "414 MPa"), (SI, "tensile_mpa", "60 ksi", "59 ksi"),
    ],
)  # fmt: skip
def test_a_strength_on_the_bound_passes_in_either_system(system: str, name: str, on: str, beyond: str) -> None:
    for text, faults in ((on, 0), (beyond, 1)):
        said = heat("H1", "A106 Gr B", **{"tensile_mpa": None, name: units.parse_stress(text, system)})
        verdict = check_certificate(said, system)
        assert verdict is not None and len(verdict.value) == faults, text
