"""The owner's specification beside the code and the procedure: which figure governs, what is shown, what is found."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.facts import JobFacts, JointFacts, SpecificationFacts
from rules.finding import Finding, Requirement
from rules.judge import findings, requirements
from rules.limits import shown_bounds
from rules.specification import (
    LIMITS,
    NOTHING,
    REPLACED,
    SEVERE_CYCLIC,
    TIGHTENED,
    crossed,
    crossed_words,
    narrowed,
    shared,
)
from tests.rules.cast import (
    JOB,
    PASSES,
    PROCEDURE,
    VT_RULE,
    D,
    accepted,
    butt,
    examination,
    fit_up,
    people,
    planned,
    released,
    repair,
    weld_pass,
    welded,
)

SPEC = "Owner's specification PS-110, 6.3"


def row(limit: str, value: str, mode: str = TIGHTENED, **narrow: str) -> SpecificationFacts:
    """One limit of the specification PS-110, clause 6.3."""
    return SpecificationFacts(limit, D(value), "PS-110", "6.3", mode, **narrow)


def under(*rows: SpecificationFacts, **changes: Any) -> JobFacts:
    """The usual job with these limits of the owner."""
    return replace(JOB, specification=shared(rows), **changes)


def judged(joint: JointFacts, job: JobFacts) -> list[Finding]:
    return findings(joint, job, people())


def asked(joint: JointFacts, job: JobFacts, id: str) -> Requirement | None:
    return next((one for one in requirements(joint, job) if one.id == id), None)


def with_pass(number: int, **changes: Any) -> tuple[Any, ...]:
    return tuple(replace(one, **changes) if one.order == number else one for one in PASSES)


def _seen(words: str) -> JointFacts:
    """A butt weld accepted on the film with an indication that the table accepts."""
    return butt(examinations=(examination(), examination("RT", indications=words)))


FILM = examination("RT", gap_on_film_mm=D(0))
TWICE_REPAIRED = {
    "repairs": (repair(), repair(attempt="R1")),
    "examinations": (examination(result="rejected"), examination(attempt="R1", id="e1", result="rejected")),
}
# A limit of the owner, a joint that breaks it and keeps everybody else's, and the finding that follows. The figures
# are ours; that each limit switches its finding on and off is what is tested.
BROKEN: dict[str, tuple[SpecificationFacts, str, Callable[[], JointFacts]]] = {
    "gap min": (row("gap min", "2.38125"), "gap-out-of-range", lambda: released(fit_ups=(fit_up(gap_mm=D("1.6")),))),
    "gap max": (row("gap max", "2.38125"), "gap-out-of-range", released),
    "gap on film min": (
        row("gap on film min", "0.79375"),
        "gap-out-of-range",
        lambda: released(examinations=(examination(), FILM)),
    ),
    "gap on film max": (
        row("gap on film max", "3.175"),
        "gap-out-of-range",
        lambda: released(examinations=(examination(), replace(FILM, gap_on_film_mm=D("4.7625")))),
    ),
    "squareness max": (
        row("squareness max", "0.79375"),
        "squareness-out-of-range",
        lambda: released(fit_ups=(fit_up(squareness_mm=D("1.5")),)),
    ),
    "high-low max": (
        row("high-low max", "0.79375"),
        "high-low-out-of-range",
        lambda: butt(fit_ups=(fit_up(high_low_mm=D("1.5")),)),
    ),
    "leg min": (
        row("leg min", "7.9375"),
        "leg-too-small",
        lambda: released(examinations=(examination(leg_a_mm=D("6.35"), leg_b_mm=D("8")),)),
    ),
    "undercut max": (
        row("undercut max", "0.396875"),
        "undercut-too-deep",
        lambda: released(examinations=(examination(undercut_mm=D("0.5")),)),
    ),
    **{
        f"{limit} max": (
            row(f"{limit} max", "0.1"),
            "verdict-differs",
            partial(_seen, f"{words} 0.3 mm{' long' if limit == 'slag' else ''}"),
        )
        for limit, words in (
            ("porosity", "porosity"),
            ("surface porosity", "surface porosity"),
            ("slag", "slag"),
            ("reinforcement", "reinforcement"),
        )
    },
    "preheat min": (row("preheat min", "79"), "pass-out-of-range", released),
    "interpass max": (
        row("interpass max", "150"),
        "pass-out-of-range",
        lambda: released(passes=with_pass(2, interpass_c=D(160))),
    ),
    "heat input max": (row("heat input max", "1"), "pass-out-of-range", released),
    "passes min": (row("passes min", "4"), "too-few-passes", released),
    "stop spacing min": (row("stop spacing min", "125"), "stops-stacked", released),
    "repairs max": (row("repairs max", "1"), "repairs-exceeded", lambda: welded(**TWICE_REPAIRED)),
    **{
        f"{method} share min": (
            row(f"{method} share min", "100"),
            "examination-due",
            lambda: released(exam_rules=(), examinations=(examination("PMI"),)),
        )
        for method in ("VT", "RT", "PT", "MT", "UT")
    },
}


def test_each_limit_that_an_owner_can_set_is_tried_here() -> None:
    assert set(BROKEN) == set(LIMITS)


@pytest.mark.parametrize("name", BROKEN)
def test_one_limit_of_the_owner_gives_one_finding_that_names_specification_and_clause(name: str) -> None:
    limit, code, joint = BROKEN[name]
    before = judged(joint(), JOB)
    after = judged(joint(), under(limit))
    assert code not in {one.code for one in before}
    new = [one for one in after if one not in before]
    assert {one.code for one in new} == {code}
    assert all(SPEC in one.source and SPEC in one.message for one in new)


def test_a_stricter_owner_governs_and_both_figures_are_shown() -> None:
    found = asked(planned(), under(row("gap max", "2.38125")), "gap:greatest")
    assert found and shown_bounds(found) == "at most 3/32 in"
    assert str(found.source) == SPEC
    assert "WPS W-11: 1/8 in; owner: 3/32 in" in found.steps
    # The code's figure is approximate: it is told, and nothing is judged by it.
    assert "gap before welding, code: about 1/16 in; owner: at most 3/32 in" in found.steps


def test_the_least_and_the_greatest_each_keep_their_source() -> None:
    job = under(row("gap max", "2.38125"))
    found = asked(planned(), job, "gap")
    assert found and shown_bounds(found) == "1/16 to 3/32 in"
    assert str(found.source) == f"WPS W-11 (least), {SPEC} (greatest)"
    [narrow] = judged(released(fit_ups=(fit_up(gap_mm=D("0.79375")),)), job)
    assert narrow.source == "WPS W-11" and narrow.limit == "1/16"
    [wide] = judged(released(), job)
    assert wide.source == SPEC and wide.limit == "3/32"


def test_a_looser_owner_lets_the_stricter_figure_stand_and_says_so() -> None:
    found = asked(planned(), under(row("gap max", "4.7625")), "gap:greatest")
    assert found and shown_bounds(found) == "at most 1/8 in"
    assert str(found.source) == "WPS W-11"
    assert "the figure of the WPS W-11 is the stricter and stands" in found.steps


def test_a_looser_figure_that_replaces_the_codes_says_so_in_requirement_and_finding() -> None:
    # ASME B31.3 Table 341.3.2, criterion H: 1/32 in for a wall of 0.179 in (a quarter of it is more).
    code = asked(planned(), JOB, "undercut")
    assert code and shown_bounds(code) == "at most 1/32 in"
    job = under(row("undercut max", "1.5875", REPLACED))
    found = asked(planned(), job, "undercut")
    assert found and shown_bounds(found) == "at most 1/16 in"
    looser = f"{SPEC}, looser than {code.source}"
    assert str(found.source) == looser
    assert "code: 1/32 in; owner: 1/16 in" in found.steps
    assert judged(released(examinations=(examination(undercut_mm=D(1)),)), job) == []
    [told] = judged(released(examinations=(examination(undercut_mm=D(2)),)), job)
    assert told.source == looser and looser in told.message


def test_a_tightened_limit_never_accepts_what_the_code_rejects() -> None:
    job = under(row("undercut max", "1.5875"))
    [told] = judged(released(examinations=(examination(undercut_mm=D(1)),)), job)
    assert told.source.startswith("ASME B31.3") and told.limit == "1/32"


def test_a_leg_of_the_owner_is_shown_as_typed_beside_the_codes() -> None:
    # 1.09 x 0.179 in = 0.195 in, up to the next 1/32 in: 7/32 in (ASME B31.3 Fig. 328.5.2C).
    found = asked(planned(), under(row("leg min", "6.35")), "leg")
    assert found and shown_bounds(found) == "at least 1/4 in"
    assert "code: 7/32 in; owner: 1/4 in" in found.steps


def test_the_gap_on_film_is_asked_only_where_the_owner_does_and_no_code_is_named() -> None:
    film = accepted(examinations=(examination(), FILM))
    assert asked(film, JOB, "gap-on-film") is None
    job = under(row("gap on film min", "0.79375"))
    [told] = [one for one in judged(film, job) if one.code == "gap-out-of-range"]
    assert told.record == "e-RT"
    assert told.message == f"Gap on film 0 in, at least 1/32 in ({SPEC}). Remedy: cut out and weld anew."
    assert "ASME" not in " ".join((told.message, told.source, *told.steps))


def test_the_leg_is_judged_on_the_visual_and_the_gap_on_the_film() -> None:
    short = examination(leg_a_mm=D("4"), leg_b_mm=D("6"))
    job = under(row("gap on film max", "3.175"))
    assert {one.code for one in judged(released(examinations=(short, FILM)), job)} == {"leg-too-small"}


@pytest.mark.parametrize("limit", ["stop spacing min", "repairs max", "gap on film min", "gap on film max"])
def test_what_no_code_limits_never_names_one(limit: str) -> None:
    limits, _, joint = BROKEN[limit]
    bare = replace(PROCEDURE, stop_spacing_min_degrees=None)
    for one in judged(replace(joint(), procedure=bare), under(limits)):
        if SPEC in one.source:
            assert "ASME" not in " ".join((one.message, one.source, *one.steps))


def test_a_crooked_cut_shows_as_squareness_and_as_the_least_gap() -> None:
    # 1/8 in on one side and none on the other.
    crooked = released(
        procedure=replace(PROCEDURE, gap_min_mm=None, gap_max_mm=None, squareness_max_mm=None),
        fit_ups=(fit_up(gap_mm=None, gaps_mm={"12": D("3.175"), "3": D(2), "6": D(0), "9": D(2)}),),
    )
    assert judged(crooked, JOB) == []
    found = judged(crooked, under(row("squareness max", "1.5875"), row("gap min", "1.5875")))
    assert [(one.code, one.measured, one.limit) for one in found] == [
        ("squareness-out-of-range", "1/8", "1/16"),
        ("gap-out-of-range", "0", "1/16"),
    ]


def test_limits_hold_without_a_procedure() -> None:
    job = under(row("preheat min", "79"), row("stop spacing min", "125"))
    codes = {one.code for one in judged(released(procedure=None), job)}
    assert codes == {"procedure-missing", "pass-out-of-range", "stops-stacked"}


def test_the_owner_allows_another_number_of_repairs_than_the_job() -> None:
    thrice = welded(
        repairs=(*TWICE_REPAIRED["repairs"], repair(attempt="R2")),
        examinations=(*TWICE_REPAIRED["examinations"], examination(attempt="R2", id="e2", result="rejected")),
    )
    assert [one.code for one in judged(thrice, under(repairs_max=2))] == ["repairs-exceeded"]
    assert judged(thrice, under(row("repairs max", "3"), repairs_max=2)) == []


def test_a_plan_that_examines_all_stands_against_a_smaller_share_unless_that_replaces_it() -> None:
    joint = welded(exam_rules=(VT_RULE,))
    assert [one.code for one in judged(joint, under(row("VT share min", "10")))] == ["examination-due"]
    assert judged(joint, under(row("VT share min", "10", REPLACED))) == []


def test_the_row_that_names_a_joint_most_closely_counts() -> None:
    rows = (
        row("gap max", "1"),
        row("gap max", "2", joint_kind="groove"),
        row("gap max", "3", joint_kind="butt"),
        row("gap max", "4", service="Normal"),
        row("gap max", "5", service="Severe cyclic"),
    )

    def value(kind: str, service: str, severe: bool = False) -> Any:
        return narrowed(rows, kind, service, severe).limits["gap max"].value

    assert value("socket", "Category D") == 1
    assert value("olet", "Category D") == 2
    assert value("butt", "Normal") == 3
    assert value("socket", "Normal") == 4
    assert value("socket", "Normal", True) == 5
    assert narrowed(rows[1:3], "socket", "Normal", False) is NOTHING


def test_jobs_with_different_limits_are_not_confused() -> None:
    strict, lenient = under(row("gap max", "2.38125")), under(row("gap max", "3.175"))
    for _ in range(2):
        assert [one.code for one in judged(released(), strict)] == ["gap-out-of-range"]
        assert judged(released(), lenient) == []
        assert judged(released(), JOB) == []


def test_equal_limits_are_one_object_however_often_they_are_read() -> None:
    assert shared((row("gap max", "2"),)) is shared((row("gap max", "2"),))


def test_a_second_stop_near_the_first_is_named_by_the_owners_spacing() -> None:
    near = (weld_pass(1, "root"), weld_pass(2, "fill", start_degrees=None, stop_degrees=D(150)), *PASSES[2:])
    bare = replace(PROCEDURE, stop_spacing_min_degrees=None)
    [told] = judged(released(passes=near, procedure=bare), under(row("stop spacing min", "45")))
    assert told.message == f"The stops of passes 1 and 2 are 30° apart, at least 45° ({SPEC})."


def test_an_indication_within_the_table_and_over_the_owners_limit_is_noted_with_the_specification() -> None:
    # Slag of 3 mm in a wall of 6 mm lies within the table (criterion G: length at most 2 x wall), not within 2 mm.
    seen = _seen("slag 3 mm long, 0.5 mm wide")
    assert judged(seen, JOB) == []
    [note] = judged(seen, under(row("slag max", "2")))
    assert (note.code, note.severity) == ("verdict-differs", "note")
    assert "is over the owner's limit" in note.message and SPEC in note.source
    looser = under(row("slag max", "50"))
    assert judged(seen, looser) == []


def test_a_replaced_limit_accepts_what_the_table_rejects_and_says_so() -> None:
    # Undercut of 1 mm: over the smaller of 1/32 in and a quarter of the wall (criterion H).
    deep = butt(examinations=(examination(indications="undercut 1 mm deep"),))
    assert [one.code for one in judged(deep, JOB)] == ["verdict-differs"]
    assert judged(deep, under(row("undercut max", "1.5875", REPLACED))) == []
    [note] = judged(deep, under(row("undercut max", "0.9", REPLACED)))
    assert "looser than ASME B31.3" in note.source


def _rejected(words: str) -> JointFacts:
    return butt(examinations=(examination(), examination("RT", result="rejected", indications=words)))


def test_a_pore_within_the_owners_size_says_nothing_against_a_reject() -> None:
    # Number and spacing go by the charts of BPVC Section VIII Division 1 Appendix 4 (criterion E).
    for mode in (TIGHTENED, REPLACED):
        told = judged(_rejected("porosity 0.3 mm"), under(row("porosity max", "1", mode)))
        assert "verdict-differs" not in [one.code for one in told]


def test_what_only_the_table_rejects_is_told_with_the_table() -> None:
    # A pore of 6 mm is over the largest isolated one of the chart; the owner's looser 10 mm rejects nothing.
    [note] = judged(_seen("porosity 6 mm"), under(row("porosity max", "10")))
    assert "the table's limit" in note.message and SPEC not in note.source


def test_a_replaced_length_leaves_the_width_to_the_table() -> None:
    # Criterion G: width at most half the wall and 3 mm, whichever is less; 4 mm is over it whatever the length.
    [note] = judged(_seen("slag 3 mm long, 4 mm wide"), under(row("slag max", "10", REPLACED)))
    assert "the table's limit" in note.message and SPEC not in note.source
    assert judged(_rejected("slag 3 mm long, 4 mm wide"), under(row("slag max", "10", REPLACED)))[-1].code != (
        "verdict-differs"
    )


SIXTEENTHS = st.integers(0, 8).map(lambda count: D("1.5875") * count)


@given(tight=SIXTEENTHS, loose=SIXTEENTHS, gap=SIXTEENTHS, mode=st.sampled_from((TIGHTENED, REPLACED)))
def test_a_tighter_limit_never_accepts_what_a_looser_one_rejects(tight: Any, loose: Any, gap: Any, mode: str) -> None:
    tight, loose = min(tight, loose), max(tight, loose)
    made = released(fit_ups=(fit_up(gap_mm=gap),))
    if not judged(made, under(row("gap max", str(tight), mode))):
        assert judged(made, under(row("gap max", str(loose), mode))) == []


@given(owner=SIXTEENTHS, gap=SIXTEENTHS)
def test_a_tightened_limit_accepts_only_what_procedure_and_owner_both_accept(owner: Any, gap: Any) -> None:
    made = released(fit_ups=(fit_up(gap_mm=gap),))
    both = not judged(made, JOB) and gap <= owner
    assert (judged(made, under(row("gap max", str(owner)))) == []) is both


def test_a_least_over_the_greatest_is_told_where_both_meet_on_a_joint() -> None:
    least, greatest = row("gap min", "3.175"), row("gap max", "1.5875", joint_kind="socket")
    assert crossed((least, greatest)) == [(least, greatest)]
    assert crossed_words(least, greatest, "US") == (
        "The least, 1/8 in (Owner's specification PS-110, 6.3), is over the greatest, 1/16 in "
        "(Owner's specification PS-110, 6.3): no gap satisfies both."
    )
    # Sockets have a least of their own, and butt joints no greatest: nothing meets.
    assert crossed((least, greatest, row("gap min", "1", joint_kind="socket"))) == []
    assert crossed((row("gap min", "3", joint_kind="butt"), greatest)) == []
    # Equal is no contradiction; a groove is a branch too; severe cyclic meets every service.
    assert crossed((row("gap min", "1.5875"), greatest)) == []
    branch = row("gap max", "2", joint_kind="branch")
    groove = row("gap min", "3", joint_kind="groove", service=SEVERE_CYCLIC)
    assert crossed((groove, branch)) == [(groove, branch)]
    assert len(crossed((row("gap on film min", "2"), row("gap on film max", "1")))) == 1
