"""Parts of a model without ports that are connected: stated as a whole, or with ends that merely meet."""

import pytest

from rules.route import from_model
from rules.route.from_model import Reading, routes_of
from rules.route.model import EQUIPMENT, FLANGED, WELDED
from tests.rules.route.test_from_model import A_3, C_3, Parts, at, corner, lines

CORNER = ["run north 1000", "elbow", "run up 500", "open end"]


def read(made: Parts, *stated: tuple[str, str]) -> Reading:
    return routes_of(made.parts, "SI", stated)


def test_parts_that_are_stated_to_be_connected_are_joined_by_their_nearest_ends() -> None:
    found = read(corner(), ("bend1", "segment0"), ("segment2", "bend1"), ("bend1", "segment2"))
    assert [lines(one.text)[2:] for one in found.routes] == [CORNER]
    assert not (found.taken or found.unread or found.notices)


def test_ends_that_meet_are_taken_as_connected_and_each_is_told() -> None:
    found = read(corner())
    assert [lines(one.text)[2:] for one in found.routes] == [CORNER]
    assert found.taken == (
        "segment0 and bend1: ends meet within 0.1 mm",
        "bend1 and segment2: ends meet within 0.1 mm",
    )


def test_what_the_model_connects_itself_is_not_told_as_taken() -> None:
    assert routes_of(corner().connected(), "SI").taken == ()


@pytest.mark.parametrize(("gap", "told"), [(0.04, "0.1"), (0.72, "0.8"), (1.0, "1.0"), (1.01, "")])
def test_ends_meet_within_a_millimetre(gap: float, told: str) -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    made.pipe(at(1000 + gap, 0, 0), at(3000, 0, 0))
    found = read(made)
    assert found.taken == ((f"segment0 and segment1: ends meet within {told} mm",) if told else ())
    assert [one.joints for one in found.routes] == ([1] if told else [0, 0])


def test_a_third_end_at_the_place_leaves_all_open() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    made.pipe(at(1000, 0, 0), at(3000, 0, 0))
    made.pipe(at(1000, 0.6, 0), at(1000, 500, 0))
    found = read(made)
    assert not found.taken and [one.joints for one in found.routes] == [0, 0, 0]


def test_an_end_that_is_near_two_others_is_joined_to_neither() -> None:
    """The first is near the second alone, but the second is near the third too."""
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    made.pipe(at(1000.8, 0, 0), at(3000, 0, 0))
    made.pipe(at(1001.6, 0, 0), at(1001.6, 500, 0))
    assert not read(made).taken


@pytest.mark.parametrize(
    ("far", "said", "notice"),
    [
        (at(1000, 700, 0), {}, True),  # aside: an elbow is missing
        (at(3000, 0, 0), {"nps": "2"}, True),  # another size: a reducer is missing
        (at(3000, 0, 0), {"joined": FLANGED}, True),  # bolted against welded
        (at(3000, 0, 0), {"why": "Something."}, False),
    ],
)
def test_ends_that_meet_stay_open_where_something_stands_against_it(far: object, said: dict, notice: bool) -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0), joined=WELDED)
    made.pipe(at(1000, 0, 0), far, **said)  # type: ignore[arg-type]
    found = read(made)
    assert not found.taken
    assert lines(found.routes[0].text)[2:] == ["run east 1000", "open end"]
    assert any("are at one place but are not connected" in one for one in found.notices) is notice


def test_equipment_is_met_too() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    made.add(EQUIPMENT, at(1000, 0, 0), name="Pump P-1")
    found = read(made)
    assert "Pump P-1" in found.routes[0].text and len(found.taken) == 1


def test_a_stated_connection_that_no_end_is_near_is_told() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    made.pipe(at(1010.5, 0, 0), at(3000, 0, 0))
    found = read(made, ("segment0", "segment1"))
    assert [one.joints for one in found.routes] == [0, 0]
    assert found.notices == (
        "segment0 and segment1 are said to be connected, but their nearest free ends are 10.5 mm apart; accepted are up to "
        "10 mm.",
    )


def test_a_root_opening_between_stated_parts_is_no_gap_in_the_line() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(998.5, 0, 0))
    made.pipe(at(1001.5, 0, 0), at(3000, 0, 0))
    found = read(made, ("segment0", "segment1"))
    assert lines(found.routes[0].text)[2:] == ["run east 1000", "shop weld", "run east 2000", "open end"]


def test_a_part_that_is_stated_to_stand_on_a_pipe_is_a_branch_there() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(2000, 0, 0))
    made.pipe(at(500, 0, 44.45), at(500, 0, 600), nps="2")
    found = read(made, ("segment1", "segment0"))
    assert lines(found.routes[0].text)[2:] == [
        "run east 500", "stub DN 50 sch 40", "branch up", "  run up 600", "  open end", "end branch", "run east 1500",
        "open end",
    ]  # fmt: skip


def test_a_part_that_is_stated_to_meet_what_is_taken_already_is_told() -> None:
    made = corner()
    made.pipe(at(0, 1000 - A_3, 0), at(0, 900, 0))
    found = read(made, ("segment0", "bend1"), ("bend1", "segment2"), ("segment3", "bend1"))
    assert any("one of them has no free end" in one for one in found.notices)


def test_an_unknown_part_or_a_part_with_itself_is_no_connection() -> None:
    found = read(corner(), ("bend1", "nobody"), ("bend1", "bend1"))
    assert [lines(one.text)[2:] for one in found.routes] == [CORNER] and not found.notices


# --- models that mean harm ---


def test_hundreds_of_ends_at_one_place_are_joined_to_none_and_told_in_few_words() -> None:
    made = Parts()
    for _ in range(400):
        made.pipe(at(0, 0, 0), at(1000, 0, 0))
    found = read(made)
    assert not found.taken and len(found.routes) == 400
    assert sum(len(one) for one in found.notices) < 1_000 and "396 more" in found.notices[0]


def test_branches_within_branches_are_read_to_a_depth_and_the_rest_listed() -> None:
    made, parts = Parts(), 200
    here, ahead, aside = (0.0, 0.0), (1, 0), (0, 1)
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    here = (1000.0, 0.0)
    for _ in range(parts):
        steps = [(0, 0), (2 * C_3, 0), (C_3, C_3), (2 * C_3 + 300, 0), (C_3, C_3 + 1000)]
        entered, far, out, end, on = (
            at(here[0] + a * ahead[0] + b * aside[0], here[1] + a * ahead[1] + b * aside[1], 0) for a, b in steps
        )
        made.add("junction", entered, far, out)
        made.pipe(far, end)
        made.pipe(out, on)
        here, ahead, aside = (float(on.east), float(on.north)), aside, ahead
    found = read(made)
    assert any("40 deep" in one.why for one in found.unread)
    assert len(found.routes) > 1 and not any(one.faults for one in found.routes)


def test_a_model_that_can_t_be_read_anywhere_is_left_before_it_takes_for_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(from_model, "MOST_VISITED", 100)
    made = Parts()
    for place in range(40):
        made.pipe(at(1000 * place, 0, 0), at(1000 * place + 1000, 0, 0), nps="3" if place % 2 else "2")
    found = routes_of(made.connected(), "SI")
    assert "parts that hang together with it are left out" in found.unread[-1].why


def test_what_has_no_name_is_gone_on_to_as_such() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    made.add("", at(1000, 0, 0), name="; ;")
    made.add(EQUIPMENT, at(0, 0, 0), name="")
    (route,) = routes_of(made.connected(), "SI").routes
    assert not route.faults
    assert route.text.count("a part without a name") == 2
