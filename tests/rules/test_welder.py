"""May this welder make this joint: ranges by hand from Section IX, and every reason against."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.facts import JointFacts, MaterialFacts, ProcedureFacts
from rules.judge import lapses, qualification_range, requirements, who_may_weld
from rules.ranges import (
    f_covered,
    f_number_of,
    fillet_test_range,
    least_od,
    most_deposit,
    p_family,
    positions_for,
    tacks_any_diameter,
)
from rules.units import US
from rules.welder import Answer, Need, may_weld, need_of, shortfalls
from tests.rules.cast import (
    JOB,
    PROCEDURE,
    TESTED,
    WELDED,
    D,
    butt,
    people,
    planned,
    procedure_pass,
    qualification,
    welder,
)

OPEN_ROOT = replace(PROCEDURE, backing="no")


def asked(
    held: Any, joint: JointFacts, *, role: str = "root", procedure: ProcedureFacts = OPEN_ROOT, on: date = WELDED
) -> Answer:
    """The answer for A1 with these qualifications."""
    need = need_of(joint, procedure, "SI", role=role, process=procedure.processes[0])
    crew = welder("A1", *held) if isinstance(held, tuple) else welder("A1", held)
    return may_weld(crew, need, on, stamp="A1", is_use=True)


@pytest.mark.parametrize(("od", "nps", "may"), [("26.7", "3/4", True), ("21.3", "1/2", False), ("168.3", "6", True)])
def test_an_nps_2_coupon_covers_grooves_from_25_mm(od: str, nps: str, may: bool) -> None:
    joint = butt(nps=nps, od_mm=D(od), wall_mm=D("3.9"))
    assert asked(qualification(), joint).may is may


def test_a_groove_test_covers_socket_welds_of_every_size() -> None:
    large = qualification(coupon_diameter_mm=D("168.3"))
    assert asked(large, planned(nps="1/2", od_mm=D("21.3"))).may


def test_a_fillet_test_covers_fillets_only() -> None:
    fillet = qualification(weld="fillet", positions=("5F",))
    assert asked(fillet, planned()).may
    assert "fillets only" in asked(fillet, butt()).reasons[0]


def test_the_wall_must_lie_within_twice_the_deposit() -> None:
    thin = qualification(deposit_mm=D("3"), layers=2)
    assert asked(thin, butt(wall_mm=D("6"))).may
    answer = asked(thin, butt(wall_mm=D("6.4")))
    assert "deposit thickness 6.4 mm, at most 6 mm (ASME BPVC Section IX QW-452.1(b))" in answer.reasons[0]


def test_thirteen_millimetres_in_three_layers_is_unlimited() -> None:
    assert most_deposit(qualification(deposit_mm=D(13), layers=3))[0] is None
    assert most_deposit(qualification(deposit_mm=D(13), layers=2))[0] == 26
    assert most_deposit(qualification(deposit_mm=D("12.7"), layers=3))[0] == D("25.4")
    assert most_deposit(qualification(deposit_mm=D("12.7"), layers=3), US)[0] is None


def test_short_circuiting_covers_a_tenth_more_than_was_deposited() -> None:
    short = qualification(process="GMAW", transfer="short-circuiting", deposit_mm=D(9))
    assert most_deposit(short)[0] == D("9.9")
    assert most_deposit(replace(short, deposit_mm=D(13)))[0] is None


def test_the_deposit_is_not_judged_where_the_share_is_unknown() -> None:
    mixed = replace(OPEN_ROOT, processes=("GTAW", "SMAW"))
    assert asked(qualification(deposit_mm=D(3), layers=1), butt(wall_mm=D(20)), procedure=mixed).may


@pytest.mark.parametrize(
    ("positions", "place", "may"),
    [
        (("5G",), "5G", True),
        (("5G",), "2G", False),
        (("2G", "5G"), "6G", True),
        (("6G",), "overhead", True),
        (("1G",), "vertical", False),
        (("2G",), "flat", True),
        (("5G",), "", True),
    ],
)
def test_positions_of_pipe_tests(positions: tuple[str, ...], place: str, may: bool) -> None:
    assert asked(qualification(positions=positions), butt(position=place)).may is may


def test_two_separate_tests_add_up_to_all_positions() -> None:
    two = (qualification(wpq="Q-2", positions=("2G",)), qualification(wpq="Q-5", positions=("5G",)))
    assert asked(two, butt(position="6G")).may
    assert not asked(two[:1], butt(position="6G")).may


@pytest.mark.parametrize(
    ("tests", "place", "may"),
    [
        # QW-461.9, special positions (SP), from memory: flat and the special one tested. All positions cover it too.
        ((("SP",),), "flat", True),
        ((("SP",),), "SP", True),
        ((("SP",),), "vertical", False),
        ((("5G",),), "SP", False),
        ((("6G",),), "SP", True),
        ((("2G",), ("5G",)), "SP", True),
    ],
)
def test_special_positions(tests: tuple[tuple[str, ...], ...], place: str, may: bool) -> None:
    held = tuple(qualification(wpq=f"Q-{place}", positions=one) for place, one in enumerate(tests))
    answer = asked(held, butt(position=place))
    assert answer.may is may
    if (tests, place) == ((("5G",),), "SP"):
        assert "position special, pipe 5G qualifies flat, vertical and overhead" in answer.reasons[0]


def test_a_special_position_is_told_without_an_angle() -> None:
    told = qualification_range(qualification(positions=("SP",)))
    assert told.positions == ("groove: flat and special", "fillet: flat and special")
    assert told.notes[-1] == "special: the position that was tested; its angle is not recorded"


def test_plate_covers_pipe_from_73_mm_only() -> None:
    plate = qualification(coupon="plate", coupon_diameter_mm=None, positions=("3G",))
    assert not asked(plate, butt(nps="2", od_mm=D("60.3"), position="flat")).may
    assert asked(plate, butt(nps="2-1/2", od_mm=D("73"), position="flat")).may
    assert not asked(plate, butt(position="vertical")).may
    assert positions_for(plate, False, D(762)) == {"F", "V"}


def test_a_plate_test_covers_small_fillets_in_its_positions() -> None:
    plate = qualification(coupon="plate", coupon_diameter_mm=None, positions=("2G",))
    assert asked(plate, planned(position="2F")).may
    assert not asked(plate, planned(position="5F")).may


def test_backing_and_open_roots() -> None:
    backed = qualification(backing="yes")
    assert "QW-402.4" in asked(backed, butt()).reasons[0]
    assert asked(backed, butt(), role="cap").may  # over weld metal
    assert asked(backed, planned()).may  # a fillet counts as backed
    assert asked(backed, butt(), procedure=replace(PROCEDURE, backing="yes")).may
    assert asked(backed, butt(), procedure=PROCEDURE).may  # the procedure does not say: not judged


def stick(f_number: str, **changes: Any) -> ProcedureFacts:
    """A procedure of SMAW passes with one F-Number."""
    filler = {"3": "E6010", "4": "E7018"}[f_number]
    rows = tuple(procedure_pass(role, process="SMAW", filler=filler, f_number=f_number) for role in ("root", "cap"))
    return replace(PROCEDURE, processes=("SMAW",), passes=rows, **changes)


def test_f_4_with_backing_covers_f_3_only_with_backing() -> None:
    held = qualification(process="SMAW", f_number="4", backing="no")
    assert asked(held, butt(), role="cap", procedure=stick("3", backing="no")).may
    answer = asked(held, butt(), procedure=stick("3", backing="no"))
    assert not answer.may
    assert "filler F-3, tested with F-4 without backing" in answer.reasons[0]
    assert asked(held, butt(), procedure=stick("4", backing="no")).may


def test_f_groups() -> None:
    assert f_covered("6", "yes", True) == {"6"}
    assert f_covered("F-43", "", True) == {"34", "41", "42", "43", "44", "45", "46"}
    assert f_covered("5", "yes", True) == {"1", "5"}
    assert f_covered("F-No. 3", "no", False) == {"3"}


def test_p_1_covers_stainless_and_not_aluminium() -> None:
    assert "8" in p_family("P-1")
    assert "21" not in p_family("1")
    assert p_family("21") == {"21", "22", "23", "24", "25", "26"}
    assert "15E" in p_family("1")
    assert "15E" not in p_family("1", "2010")
    aluminium = planned(material_a=MaterialFacts("B241 6061", "23"), material_b=None)
    assert "QW-423.1" in asked(qualification(), aluminium).reasons[0]


def test_downhill_does_not_cover_uphill_where_the_weld_is_vertical() -> None:
    down = qualification(progression="vertical down")
    up = replace(OPEN_ROOT, progression="uphill")
    assert "QW-405.3" in asked(down, butt(position="5G"), procedure=up).reasons[0]
    assert asked(down, butt(position="2G"), procedure=up).may


def test_short_circuiting_and_spray_do_not_cover_each_other() -> None:
    short = replace(PROCEDURE, processes=("GMAW-S",), passes=())
    spray = replace(PROCEDURE, processes=("GMAW",), passes=())
    held = qualification(process="GMAW", transfer="spray")
    assert not asked(held, planned(), procedure=short).may
    assert asked(held, planned(), procedure=spray).may
    assert asked(replace(held, transfer="short-circuiting"), planned(), procedure=short).may


def test_a_test_after_the_day_does_not_count() -> None:
    answer = asked(qualification(), planned(), on=date(2026, 1, 9))
    assert answer.code == "welder-not-qualified"
    assert "was tested on 2026-01-10, after 2026-01-09" in answer.reasons[0]


def test_who_may_weld_lists_those_who_may_first_with_the_day_of_their_lapse() -> None:
    crew = [welder("Z1"), welder("A2", qualification(process="SMAW", f_number="4")), welder("A1", stamp_to=TESTED)]
    answers = who_may_weld(planned(), JOB, crew)
    assert [(one.welder.stamp, one.ok) for one in answers] == [("Z1", True), ("A1", False), ("A2", False)]
    assert answers[0].lapses_on == date(2026, 7, 10)
    assert answers[0].reasons == ()
    assert answers[2].reasons == ("A2 has no GTAW qualification.",)


def test_one_of_two_processes_is_enough_and_the_other_is_named() -> None:
    rows = (procedure_pass("root"), procedure_pass("cap", process="SMAW", filler="E7018", f_number="4"))
    both = planned(procedure=replace(PROCEDURE, processes=("GTAW", "SMAW"), passes=rows))
    (answer,) = who_may_weld(both, JOB, [welder()])
    assert answer.ok
    assert answer.reasons == ("SMAW: A1 has no SMAW qualification.",)


def test_a_joint_without_procedure_has_no_welder() -> None:
    (answer,) = who_may_weld(planned(procedure=None), JOB, [welder()])
    assert not answer.ok
    assert answer.reasons


def test_lapses_are_told_by_process() -> None:
    two = welder("A1", qualification(), qualification(process="SMAW", f_number="4", tested_on=date(2026, 2, 28)))
    assert lapses(two) == {"GTAW": date(2026, 7, 10), "SMAW": date(2026, 8, 28)}


def test_a_qualification_is_told_in_words() -> None:
    told = qualification_range(qualification())
    assert told.diameter == "from 25 mm"
    assert told.deposit == "to 11.08 mm"
    assert told.positions == ("groove: all positions", "fillet: all positions")
    assert told.f_numbers == "F-6"
    assert told.p_numbers == "P-1 to P-11, P-15, P-34, P-41 to P-49"
    stick_told = qualification_range(qualification(process="SMAW", f_number="4", backing="no"), US)
    assert stick_told.f_numbers == "F-1 to F-4 with backing, F-4 without"
    assert stick_told.diameter == "from 1 in"
    plate = qualification_range(qualification(coupon="plate", coupon_diameter_mm=None, positions=("3G", "4G")))
    assert plate.positions == (
        "groove: flat",
        "groove over 610 mm: flat, vertical and overhead",
        "fillet: all positions",
    )


def test_requirements_on_people_are_data_for_the_phone() -> None:
    asked_of = {
        one.id: one for one in requirements(planned(), JOB, people(welder("A1"), welder("B2", stamp_to=TESTED)))
    }
    stamps = asked_of["stamp:root:GTAW"].bounds
    assert stamps["A1"] == {"until": date(2026, 7, 10), "why": ""}
    assert stamps["B2"]["why"].startswith("Stamp B2 was given")
    assert "tack-stamp" in asked_of
    assert asked_of["examiner"].bounds["Quinn|VT"]["until"] == date(2027, 1, 1)


@pytest.mark.parametrize(
    ("coupon", "least"), [("21.3", "21.3"), ("26.7", "25"), ("73", "25"), ("73.025", "25"), ("88.9", "73")]
)
def test_least_diameters(coupon: str, least: str) -> None:
    assert least_od(qualification(coupon_diameter_mm=D(coupon))) == D(least)


@given(st.decimals("15", "700", places=1), st.decimals("15", "700", places=1), st.decimals("15", "700", places=1))
def test_a_smaller_coupon_never_qualifies_less(small: Decimal, large: Decimal, od: Decimal) -> None:
    small, large = min(small, large), max(small, large)
    joint = butt(od_mm=od)
    if asked(qualification(coupon_diameter_mm=large), joint).may:
        assert asked(qualification(coupon_diameter_mm=small), joint).may


@given(st.decimals("1", "30", places=1), st.decimals("0.1", "10", places=1), st.decimals("2", "60", places=1))
def test_a_thicker_deposit_never_qualifies_less(deposit: Decimal, more: Decimal, wall: Decimal) -> None:
    joint = butt(wall_mm=wall)
    if asked(qualification(deposit_mm=deposit), joint).may:
        assert asked(qualification(deposit_mm=deposit + more), joint).may


def test_every_kind_of_reason_is_told_at_once() -> None:
    held = qualification(positions=("1G",), status="suspended", status_on=TESTED)
    crew = replace(welder("A1", held), stamp_to=TESTED)
    need = need_of(butt(position="vertical"), OPEN_ROOT, "SI", role="root", process="GTAW")
    answer = may_weld(crew, need, date(2028, 1, 1), stamp="A1", is_use=True)
    assert answer.code == "stamp-suspended"
    told = " ".join(answer.reasons)
    assert all(words in told for words in ("was given to", "qualifies flat", "lapsed on"))
    covered = need_of(butt(position="flat"), OPEN_ROOT, "SI", role="root", process="GTAW")
    told = " ".join(may_weld(crew, covered, date(2028, 1, 1), stamp="A1", is_use=True).reasons)
    assert all(words in told for words in ("was given to", "is suspended", "lapsed on"))


def test_the_family_of_p_numbers_follows_the_edition() -> None:
    need = need_of(butt(), OPEN_ROOT, "SI", role="root", process="GTAW")
    modified = Need(**{name: getattr(need, name) for name in need.__slots__} | {"p_numbers": ("15E",)})
    older = Need(**{name: getattr(modified, name) for name in need.__slots__} | {"edition": "older"})
    assert not list(shortfalls(qualification(), modified, ""))
    assert [gap.variable for gap in shortfalls(qualification(), older, "")] == ["base metal"]


def test_newer_editions_free_a_tack_from_the_diameter() -> None:
    need = need_of(butt(od_mm=D("21.3"), wall_mm=D("2.77")), OPEN_ROOT, "SI", role="root", process="GTAW")
    for edition, tack, short in (("current", True, False), ("2010", True, True), ("current", False, True)):
        asked_of = Need(**{name: getattr(need, name) for name in need.__slots__} | {"edition": edition, "tack": tack})
        assert bool(list(shortfalls(qualification(), asked_of, ""))) is short
    with pytest.raises(ValueError, match="accepted are"):
        tacks_any_diameter("1950")


def test_a_fillet_test_in_thin_plate_limits_base_and_size() -> None:
    # QW-452.5: T under 5 mm (3/16 in) qualifies T to 2 T; from there all.
    assert fillet_test_range(D(4)).value == (D(4), D(8))
    assert fillet_test_range(D(5)).value == (None, None)
    assert fillet_test_range(D("4.7625"), US).value == (None, None)
    assert fillet_test_range(D("4.7625")).value[1] == D("9.525")
    with pytest.raises(ValueError, match="must be over 0"):
        fillet_test_range(D(0))


@pytest.mark.parametrize("wider", [("6G",), ("2G", "5G")])
@given(
    od=st.decimals("10", "700", places=1), place=st.sampled_from(["flat", "horizontal", "vertical", "overhead", "5G"])
)
def test_a_test_in_more_positions_never_qualifies_less(wider: tuple[str, ...], od: Decimal, place: str) -> None:
    for narrow in ("1G", "2G", "5G"):
        for joint in (butt(od_mm=od, position=place), planned(od_mm=od, position=place)):
            if asked(qualification(positions=(narrow,)), joint).may:
                assert asked(qualification(positions=wider), joint).may


@given(st.sampled_from("123456"), st.sampled_from("123456"), st.booleans())
def test_a_test_without_backing_never_qualifies_less_with_the_same_filler(tested: str, made: str, backed: bool) -> None:
    # QW-433 widens F-Numbers by backing; for the number tested, a test without backing covers both.
    if made == tested:
        assert made in f_covered(tested, "no", backed)
    assert f_covered(tested, "yes", True) >= f_covered(tested, "yes", False)


def test_fillers_have_their_f_numbers() -> None:
    # QW-432 from memory: low-hydrogen electrodes F-4, solid carbon-steel wire F-6, E6010 F-3.
    assert [f_number_of(name) for name in ("E7018", "er70s-6", "E6010", "E308L-16", "XX")] == ["4", "6", "3", "5", ""]
