"""Published check values: each row of checks.csv held against a calculator, with its tolerance and source."""

import csv
from collections.abc import Callable
from pathlib import Path

import pytest

from rules.calculators.asked import ComputeError
from rules.cut_length import DoesNotFit
from tests.published import examining, papers, people, sizes
from tests.published.rows import Row, answer

ROWS = list(csv.DictReader(Path(__file__).with_name("checks.csv").open(encoding="utf-8")))
CHECKS: dict[str, Callable[[Row], None]] = {
    "cut length socket weld": sizes.socket_cut,
    "cut length socket weld tolerance": sizes.tolerance_stack,
    "cut length butt weld": sizes.butt_cut,
    "flange length edition trap": sizes.flange_edition,
    "fillet leg socket": sizes.socket_leg,
    "fillet leg flange": sizes.flange_leg,
    "fillet leg accept": sizes.accepted_leg,
    "fillet throat": sizes.throat,
    "undercut": examining.imperfection("undercut"),
    "incomplete penetration": examining.incomplete_penetration,
    "lack of fusion": examining.lack_of_fusion,
    "reinforcement limit": examining.reinforcement,
    "linear indication": examining.imperfection("linear"),
    "concave root": examining.imperfection("concave-root"),
    "surface porosity": examining.surface_porosity,
    "High pressure undercut": examining.imperfection("undercut"),
    "examination extent": examining.examination_extent,
    "progressive sampling": examining.progressive_sampling,
    "position range": people.position_range,
    "diameter range": people.diameter_range,
    "thickness range": people.thickness_range,
    "F-number range": people.f_number_range,
    "P-number range": people.p_number_range,
    "expiry": people.expiry,
    "heat input": papers.heat_input,
    "carbon equivalent": papers.carbon_equivalent,
    "MTR": papers.certificate,
    "preheat": papers.preheat,
    "PWHT": papers.heat_treatment,
    "test pressure": examining.leak_test,
    "thermal growth": sizes.thermal_growth,
    "pipe wall": sizes.pipe_wall,
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_a_published_value_is_met(row: Row) -> None:
    CHECKS[row["topic"]](row)


def test_every_topic_is_checked() -> None:
    assert {row["topic"] for row in ROWS} == set(CHECKS)


def test_a_pipe_that_does_not_fit_says_by_how_much() -> None:
    # 45 - 22.5 - 22.5 - 2 x 1.5 = -3.0
    with pytest.raises(ComputeError, match=r"does not fit: 3\.0 mm short") as refused:
        answer(
            "cut-length",
            nps="1",
            joint="socket",
            centre="45 mm",
            end1="elbow-90",
            end2="elbow-90",
            gap="1.5 mm",
            **{"class": "3000"},
        )
    assert isinstance(refused.value.__cause__, DoesNotFit)
