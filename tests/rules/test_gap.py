"""Whose gap a job uses: the code's figure and the owner's side by side, by hand."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.gap import CODE, OWNER, PROCEDURE, GapFigure, code_gap, is_within, judge_gap
from rules.source import Source
from rules.units import SI, US

D = Decimal
EIGHTH = D("3.175")
WPS = GapFigure(PROCEDURE, Source("WPS W-11"), D("1.5875"), EIGHTH)
SPECIFICATION = GapFigure(OWNER, Source("Specification S-4", clause="7.2"), EIGHTH, EIGHTH)


def test_the_code_gives_a_figure_for_each_unit_system() -> None:
    assert code_gap().about_mm == D("1.5")
    assert code_gap(units=US).about_mm == D("1.5875")
    assert code_gap("B31.1").about_mm == D("2.0")
    assert str(code_gap(at="flange").source) == "ASME B31.3 Fig. 328.5.2B"


def test_refuses_a_code_that_is_not_known() -> None:
    with pytest.raises(ValueError, match=r'"B31.9" at a "fitting".*accepted are B31.3, B31.1'):
        code_gap("B31.9")


def test_the_codes_figure_alone_judges_nothing() -> None:
    found = judge_gap(code_gap(units=US), (), EIGHTH, US)
    assert found.used.whose == CODE
    assert found.accepted is None
    assert "approximate" in found.notes[0]


def test_the_owner_comes_before_the_procedure_and_both_stay_in_sight() -> None:
    found = judge_gap(code_gap(units=US), (WPS, SPECIFICATION), EIGHTH, US)
    assert found.used is SPECIFICATION
    assert found.accepted is True
    assert found.steps == (
        "Specification S-4 7.2: 1/8 in to 1/8 in - used",
        "WPS W-11: 1/16 in to 1/8 in",
        "ASME B31.3 Fig. 328.5.2C: about 1/16 in",
        "measured 1/8 in: within",
    )
    assert "lies outside the limits used" in found.notes[0]
    assert found.notes[-1] == "No code limits the gap after welding."


@pytest.mark.parametrize(
    ("gap", "told", "accepted"),
    [("1/32", "1/32 in too little", False), ("1/8", "within", True), ("5/32", "1/32 in too much", False)],
)
def test_a_gap_outside_says_by_how_much(gap: str, told: str, accepted: bool) -> None:
    over, under = gap.split("/")
    found = judge_gap(code_gap(units=US), (WPS,), D(over) / D(under) * D("25.4"), US)
    assert found.accepted is accepted
    assert found.steps[-1].endswith(told)


def test_one_bound_is_enough_and_none_is_too_few() -> None:
    least = GapFigure(OWNER, Source("S-4"), least_mm=D(1))
    assert judge_gap(code_gap(), (least,), D(9)).accepted is True
    assert judge_gap(code_gap(), (least,)).steps[0] == "S-4: at least 1 mm - used"
    with pytest.raises(ValueError, match="have no bound"):
        judge_gap(code_gap(), (GapFigure(OWNER, Source("S-4")),))
    with pytest.raises(ValueError, match="2 mm is over the greatest 1 mm"):
        judge_gap(code_gap(), (GapFigure(OWNER, Source("S-4"), D(2), D(1)),))


def test_a_bound_that_the_owner_leaves_open_is_the_procedures() -> None:
    # The owner's 5 mm at most says nothing of the procedure's least, 1/16 in: a joint holds a gap to both.
    found = judge_gap(code_gap(units=US), (WPS, GapFigure(OWNER, Source("S-4"), greatest_mm=D(5))), D("0.2"), US)
    assert (found.used.least_mm, found.used.greatest_mm, found.accepted) == (D("1.5875"), D(5), False)
    assert "is that of WPS W-11" in found.notes[0]


gaps = st.decimals("0", "6", places=2)


@given(gaps, gaps, gaps, gaps)
def test_a_tighter_limit_never_accepts_what_a_looser_one_rejects(low: D, high: D, slack: D, gap: D) -> None:
    low, high = sorted((low, high))
    tight = GapFigure(OWNER, Source("S"), low, high)
    loose = GapFigure(OWNER, Source("S"), max(D(0), low - slack), high + slack)
    if is_within(tight, gap):
        assert is_within(loose, gap)


def test_si_and_us_figures_are_not_mixed() -> None:
    assert judge_gap(code_gap(), (), units=SI).steps == ("ASME B31.3 Fig. 328.5.2C: about 1.5 mm - used",)
