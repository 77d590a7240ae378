"""Every figure in a finding shows how it came about."""

from dataclasses import replace

from rules.judge import findings
from tests.rules.cast import JOB, PASSES, PROCEDURE, D, examination, fit_up, people, released


def steps_of(**changes: object) -> tuple[str, ...]:
    """The steps of the one finding that a change makes."""
    (one,) = findings(released(**changes), JOB, people())
    return one.steps


def test_a_value_read_off_is_only_compared() -> None:
    assert steps_of(fit_ups=(fit_up(gap_mm=D("4.7625")),)) == ("3/16 in is 1/16 in over 1/8 in",)


def test_squareness_shows_the_readings() -> None:
    gaps = {"12": D("3.175"), "6": D("1.5875")}
    tight = replace(PROCEDURE, squareness_max_mm=D("0.79375"))
    assert steps_of(procedure=tight, fit_ups=(fit_up(gap_mm=None, gaps_mm=gaps),)) == (
        "greatest of 1/8 in at 12, 1/16 in at 6 (1/8 in) - least of 1/8 in at 12, 1/16 in at 6 (1/16 in) = 1/16 in",
        "1/16 in is 1/32 in over 1/32 in",
    )


def test_heat_input_shows_the_product() -> None:
    hot = tuple(replace(one, travel_mm_min=D(50)) if one.order == 2 else one for one in PASSES)
    # 12 V x 120 A x 60 / (50 mm/min x 1000) = 1.728 kJ/mm = 43.89 kJ/in.
    assert steps_of(passes=hot) == (
        "volts x amps x 60 / travel, without efficiency (QW-409.1(a))",
        "12 V x 120 A x 60 / (50 mm/min x 1000) = 43.89 kJ/in",
        "43.89 kJ/in is 5.79 kJ/in over 38.1 kJ/in",
    )


def test_a_leg_shows_which_was_the_smaller() -> None:
    seen = steps_of(examinations=(examination(leg_a_mm=D("4.7625"), leg_b_mm=D("6.35")),))
    assert seen[-2:] == ("least of 3/16 in, 1/4 in (3/16 in) = 3/16 in", "3/16 in is 0.008 in under 0.195 in")


def test_temperatures_differ_by_degrees_of_the_jobs_scale() -> None:
    warm = tuple(replace(one, interpass_c=D(200)) if one.order == 2 else one for one in PASSES)
    assert steps_of(passes=warm) == ("392 °F is 42 °F over 350 °F",)
