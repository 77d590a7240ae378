"""What records say against each other, word for word: attempts nobody opened, two decisions, rejects of two welders."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from rules.judge import findings
from rules.lots import lot_findings
from rules.progressive import EXAMINE_ALL
from rules.units import SI, US, parse_pressure, parse_stress, shown
from rules.welder import Need, shortfalls
from tests.rules.cast import (
    EXAMINED,
    JOB,
    PASSES,
    PROCEDURE,
    examination,
    judged,
    people,
    qualification,
    released,
    repair,
    weld_pass,
    welded,
    welder,
)
from tests.rules.test_lots import lot, weld

D = Decimal


@pytest.mark.parametrize(("attempt", "kind"), [("R1", "repair"), ("W1", "cut-out"), ("X1", "decision")])
def test_an_attempt_that_nobody_opened_names_what_would_have(attempt: str, kind: str) -> None:
    stray = welded(passes=(*PASSES, weld_pass(1, "cap", id="s1", attempt=attempt, done_on=EXAMINED)))
    [told] = [one for one in judged(stray) if one.code == "record-order" and one.attempt == attempt]
    assert (told.record, told.measured, told.limit) == ("s1", "none", f"a {kind}")
    assert told.message == f"Attempt {attempt} has records, and no {kind} was decided that would open it."


def test_of_two_decisions_on_an_attempt_the_one_that_counts_is_named() -> None:
    first = repair(id="d1")
    second = repair("cut-out", id="d2", done_on=first.done_on + timedelta(1))
    twice = welded(examinations=(examination(result="rejected", indications="porosity"),), repairs=(first, second))
    [told] = [one for one in judged(twice) if one.message.startswith("Two decisions")]
    assert told.code == "record-order" and told.record in ("d1", "d2")
    assert {told.measured, told.limit} == {"repair of 2026-03-05", "cut-out of 2026-03-06"}
    assert told.message == (
        f"Two decisions stand on attempt 0: the {told.limit} counts, and the {told.measured} opens nothing. "
        "Withdraw the one that is wrong."
    )


def test_a_decision_dated_before_its_reject() -> None:
    early = repair(done_on=EXAMINED - timedelta(1))
    joint = welded(examinations=(examination(result="rejected", indications="porosity"),), repairs=(early,))
    [told] = [one for one in findings(joint, JOB, people()) if one.code == "record-order"]
    assert told.message == "The repair is dated 2026-03-03, before the reject of 2026-03-04."


def test_rejects_are_told_of_the_welder_who_made_them() -> None:
    both = lot(
        weld(1, "S1", "rejected"), weld(2, "S2", "rejected"), weld(3, "S1"), weld(4, "S1"), weld(5, "S2"), weld(6, "S2")
    )
    assert [(one.welder, one.rejects, one.due) for one in both.extras] == [
        ("S1", ("GL-201/1/1",), 2), ("S2", ("GL-201/1/2",), 2)]  # fmt: skip
    told = {found.subject: found.message for _, found in lot_findings(both) if found.code == "extra-examination-due"}
    assert told["S1"] == (
        "RT rejected GL-201/1/1 by S1: 2 more of this welder in the lot of line GL-201 are to be examined; "
        "GL-201/1/3 and GL-201/1/4 can serve."
    )


def test_all_of_a_welder_are_examined_and_their_rejects_ask_for_no_more() -> None:
    # One reject; two more with one reject; two more with one reject; then all: three of the five left, two rejected.
    days = [(1, "rejected", 0), (2, "rejected", 1), (3, "accepted", 1), (4, "rejected", 2), (5, "accepted", 2),
            (6, "rejected", 3), (7, "rejected", 3), (8, "accepted", 3)]  # fmt: skip
    made = [weld(number, result=result, day=day) for number, result, day in days]
    [extra] = lot(*made, weld(9), weld(10)).extras
    assert (extra.progress.state, extra.due, extra.progress.repairs) == (EXAMINE_ALL, 2, 5)
    [ended] = lot(*made).extras
    assert (ended.progress.state, ended.due, ended.progress.extra_total) == (EXAMINE_ALL, 0, 7)


@pytest.mark.parametrize(
    ("process", "transfer", "wanted"),
    [("GMAW-S", "spray", "short-circuiting"), ("GMAW", "short", "other transfer")],
)
def test_a_transfer_that_a_test_does_not_cover(process: str, transfer: str, wanted: str) -> None:
    need = Need(process, False, D("60.3"), None, frozenset("F"), (), "", None, "", SI)
    told = list(shortfalls(qualification(process="GMAW", transfer=transfer), need, "F"))
    assert [(one.variable, one.measured, one.limit) for one in told] == [
        ("transfer", wanted, f"tested with {transfer}")
    ]
    assert not list(shortfalls(qualification(process="GMAW", transfer=transfer), replace(need, process="SMAW"), "F"))[
        1:
    ]


# 1 psi is 6.894757 kPa; 1 bar 100 kPa; 1 ksi 6.894757 MPa.
@pytest.mark.parametrize(
    ("text", "units", "kpa"),
    [("1 psi", SI, "6.894757"), ("1", US, "6.894757"), ("1", SI, "1"), ("10 bar", US, "1000"), ("1 MPa", US, "1000"),
     ("2 ksi", SI, "13789.514586"), ("500 Pa", SI, "0.5")],
)  # fmt: skip
def test_pressures_to_the_last_figure_kept(text: str, units: str, kpa: str) -> None:
    assert parse_pressure(text, units) == D(kpa)


@pytest.mark.parametrize(
    ("text", "units", "mpa"), [("70 ksi", US, "482.633011"), ("70000", US, "482.633011"), ("485", SI, "485")]
)
def test_strengths_to_the_last_figure_kept(text: str, units: str, mpa: str) -> None:
    assert parse_stress(text, units) == D(mpa)


def test_a_figure_with_its_unit() -> None:
    assert shown(D("93.3333"), "°C", US) == "200 °F" and shown(D(10), "°C", SI) == "10 °C"
    assert shown(D("25.4"), "mm", US) == "1 in" and shown(D(120), "A", US) == "120 A"


def test_a_released_joint_says_nothing() -> None:
    assert judged(released()) == []


def test_each_test_that_falls_short_is_counted_after_the_nearest() -> None:
    tests = [qualification(wpq=f"Q-{number}", f_number="43") for number in range(1, 4)]
    for some, more in ((1, "."), (2, "(1 more reason.)"), (3, "(2 more reasons.)")):
        told = judged(welded(), crew=people(welder(qualifications=tuple(tests[:some]))))
        first = next(one for one in told if one.code == "welder-not-qualified")
        assert first.message.endswith(more) and len(first.steps) == some
        assert ("more reason" in first.message) == (some > 1)


def test_a_direction_counts_only_where_the_procedure_gives_one() -> None:
    # Section IX QW-405.3, from memory: upward or downward is a variable of vertical welding.
    down = welder(qualifications=(qualification(progression="downhill"),))
    passes = tuple(replace(one, position="vertical") for one in PASSES)
    silent, upward = welded(passes=passes), replace(PROCEDURE, progression="uphill")
    assert not [one for one in judged(silent, crew=people(down)) if one.code == "welder-not-qualified"]
    told = judged(replace(silent, procedure=upward), crew=people(down))
    assert [one for one in told if one.code == "welder-not-qualified" and "progression" in one.message]


def test_a_joint_without_a_procedure_is_told_of_once_it_is_welded() -> None:
    # ASME B31.3 328.2, from memory.
    bare = welded(procedure=None)
    assert [one.code for one in judged(bare) if one.code == "procedure-missing"] == ["procedure-missing"]
    assert not [one for one in judged(replace(bare, passes=())) if one.code == "procedure-missing"]
    # Examined is welded, though nobody recorded a pass.
    examined = replace(bare, passes=(), examinations=(examination(),))
    [told] = [one for one in judged(examined) if one.code == "procedure-missing"]
    assert told.message == "The joint is welded and names no procedure." and told.record == ""
