"""Whether a procedure covers a joint, one variable at a time."""

from dataclasses import replace
from typing import Any

import pytest

from rules.facts import MaterialFacts
from rules.judge import outside_of
from tests.rules.cast import CARBON, JOB, PROCEDURE, D, butt, judged, planned, welded, with_pass

STAINLESS = MaterialFacts("A312 TP304L", "8", "1")


def variables(joint: Any, *, process: str = "GTAW", position: str = "", **changes: Any) -> list[str]:
    """The variables outside a changed procedure."""
    return [one.variable for one in outside_of(replace(PROCEDURE, **changes), joint, JOB, process, position)]


@pytest.mark.parametrize(
    ("variable", "changes"),
    [
        ("base metal", {"p_numbers": ("8",)}),
        ("base thickness", {"thickness_min_mm": D("6.1")}),
        ("base thickness", {"thickness_max_mm": D("6")}),
        ("deposit thickness", {"deposit_max_mm": D("6")}),
        ("outside diameter", {"outside_diameter_min_mm": D("114.4")}),
        ("joint kind", {"joint_kinds": ("SW",)}),
        ("position", {"positions": ("1G", "2G")}),
        ("process", {"processes": ("SMAW",)}),
    ],
)
def test_one_variable_outside_is_named(variable: str, changes: dict[str, Any]) -> None:
    joint = butt(position="vertical")
    assert variables(joint) == []
    assert variables(joint, **changes) == [variable]


def test_the_limits_themselves_are_covered() -> None:
    edges = {"thickness_min_mm": D("6.02"), "thickness_max_mm": D("6.02"), "outside_diameter_min_mm": D("114.3")}
    assert variables(butt(), **edges) == []


def test_dissimilar_metals_fit_either_way_round() -> None:
    mixed = {"p_numbers": ("1",), "p_numbers_b": ("8",)}
    assert variables(butt(material_a=CARBON, material_b=STAINLESS), **mixed) == []
    assert variables(butt(material_a=STAINLESS, material_b=CARBON), **mixed) == []
    assert variables(butt(material_a=STAINLESS, material_b=STAINLESS), **mixed) == ["base metal"]


def test_p_numbers_are_known_however_they_are_written() -> None:
    assert variables(butt(), p_numbers=("P-No. 1",)) == []
    assert variables(butt(), p_numbers=("all",)) == []


def test_what_the_joint_does_not_say_is_not_judged() -> None:
    assert variables(butt(material_a=None, material_b=None), p_numbers=("8",)) == []
    assert variables(butt(), positions=("1G",)) == []


def test_the_deposit_of_a_fillet_is_not_the_wall() -> None:
    assert variables(planned(), deposit_max_mm=D(3)) == []


def test_a_fixed_pipe_covers_fillets_all_round() -> None:
    assert variables(planned(position="5F"), positions=("5G",)) == []
    assert variables(butt(position="2G"), positions=("5G",)) == ["position"]


def test_the_position_of_the_pass_comes_before_that_of_the_joint() -> None:
    assert variables(butt(position="flat"), position="overhead", positions=("1G",)) == ["position"]


def test_a_measure_is_told_with_its_limit() -> None:
    (one,) = outside_of(replace(PROCEDURE, thickness_max_mm=D("4.7625")), butt(), JOB)
    assert str(one) == "base thickness 0.237 in, at most 3/16 in"


# Common practice, no source: a WPS names its process pass by pass; a root by another is not welded by it.
BOTH = replace(PROCEDURE, processes=("GTAW", "SMAW"))


def told(joint: Any) -> list[Any]:
    """What is told of a procedure that does not cover a joint."""
    return [one for one in judged(joint) if one.code == "procedure-not-applicable"]


def test_a_process_that_the_procedure_has_for_other_passes_only_is_told() -> None:
    assert told(welded(procedure=BOTH)) == []
    (one,) = told(welded(procedure=BOTH, passes=with_pass(1, process="SMAW")))
    assert (one.measured, one.limit, one.record) == ("process of the root SMAW", "asks for GTAW", "p1")


def test_a_process_that_the_procedure_has_nowhere_is_told_as_that_alone() -> None:
    (one,) = told(welded(passes=with_pass(1, process="SMAW")))
    assert one.measured == "process SMAW"


def test_a_pass_of_a_kind_that_the_table_leaves_out_may_be_by_any_process_of_the_procedure() -> None:
    no_root = replace(BOTH, passes=tuple(one for one in BOTH.passes if one.role != "root"))
    assert told(welded(procedure=no_root, passes=with_pass(1, process="SMAW"))) == []
