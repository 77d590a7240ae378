"""What like joints ask is worked out once, and never for joints that are not alike."""

from dataclasses import fields, replace
from decimal import Decimal
from typing import Any

import pytest

from rules import examination, fit_up, passes, points
from rules.facts import JobFacts, JointFacts, PieceFacts, PointFacts, SpecificationFacts
from rules.finding import Requirement
from rules.judge import requirements
from rules.specification import owners_of
from tests.rules.cast import JOB, PROCEDURE, planned

RECORDS = {"key", "withdrawn", "fit_ups", "passes", "examinations", "repairs", "releases", "attendances"}
OTHER_JOINT: dict[str, Any] = {
    "kind": "slip-on", "location": "field", "nps": "3", "schedule": "160", "od_mm": Decimal("88.9"),
    "wall_mm": Decimal(3), "service": "Category D", "severe_cyclic": True, "revision": "7", "socket_class": "6000", "in_flange": True,
    "position": "2G", "procedure": replace(PROCEDURE, passes_min=4), "heat_a": None, "heat_b": None,
    "material_a": None, "material_b": None, "has_exam_plan": True, "exam_rules": (),
    "picked": frozenset({("RT", "final")}),
    "piece_a": PieceFacts("P-1"), "piece_b": PieceFacts("P-2"),
    "points": (PointFacts("1", "4.2", "fit-up", "hold"),),
}  # fmt: skip
OTHER_JOB: dict[str, Any] = {
    "code": "J-2", "units": "SI", "construction_code": "B31.1", "edition": "2014", "recording": "parameters",
    "as_of": JOB.as_of.replace(year=2027), "repairs_max": 1, "welders_edition": "2010", "certificates_edition": "older",
    "certificates_rounding": "reported",
    "specification": (SpecificationFacts("leg min", Decimal(7), "PS-1", "2"),),
    "confirmed": frozenset({("pipe", "")}),
}  # fmt: skip


def test_every_planned_value_is_tried() -> None:
    assert {one.name for one in fields(JointFacts)} - RECORDS == set(OTHER_JOINT)
    assert {one.name for one in fields(JobFacts)} == set(OTHER_JOB)


@pytest.mark.parametrize("name", OTHER_JOINT)
def test_a_joint_that_differs_in_one_thing_asks_its_own(name: str) -> None:
    requirements(planned(), JOB)
    other = replace(planned(), **{name: OTHER_JOINT[name]})
    assert _remembered(other, JOB) == _anew(other, JOB)


@pytest.mark.parametrize("name", OTHER_JOB)
def test_a_job_that_differs_in_one_setting_asks_its_own(name: str) -> None:
    requirements(planned(), JOB)
    other = replace(JOB, **{name: OTHER_JOB[name]})
    assert _remembered(planned(), other) == _anew(planned(), other)


def test_like_joints_ask_the_same_objects() -> None:
    one = planned()
    first, second = requirements(one, JOB), requirements(replace(one, key="D-1/1/8", location="field"), JOB)
    assert all(asked is again for asked, again in zip(first, second, strict=True))


def _remembered(one: JointFacts, job: JobFacts) -> list[Requirement]:
    return [asked for asked in requirements(one, job) if asked.id not in ("heat-a", "heat-b", "revision")]


def _anew(one: JointFacts, job: JobFacts) -> list[Requirement]:
    of_passes = passes.requirements(one.procedure, job.units, job.recording, owners_of(one, job))
    return [
        *fit_up.requirements(one, job),
        *of_passes,
        *examination.requirements(one, job),
        *points.requirements(one.points),
    ]
