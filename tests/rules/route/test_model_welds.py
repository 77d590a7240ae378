"""Where a model says that a weld is made: by words at a port, by a weld as a thing of its own, by a part between."""

from dataclasses import replace

import pytest

from rules.route.from_model import Reading, routes_of
from rules.route.geometry import shape_of_text
from rules.route.model import CONNECTOR, FLANGED, JUNCTION, TRANSITION, VALVE
from rules.route.model_welds import FIELD, FIELD_FIT, SHOP, Weld, place_said
from rules.route.parts import Setting
from tests.rules.route.test_from_model import A_3, C_3, Parts, at, corner, lines


def read(made: Parts, *welds: Weld) -> Reading:
    return routes_of(made.connected(), "SI", (), welds)


def text(made: Parts, *welds: Weld) -> list[str]:
    """The one route's lines after its size; it has no fault, and nothing is left out."""
    found = read(made, *welds)
    assert not found.unread and not found.routes[0].faults, (found.unread, found.routes[0].faults)
    return lines(found.routes[0].text)[2:]


def field(*between: str) -> Weld:
    return Weld("FW", "Field weld", None, between)


@pytest.mark.parametrize(
    ("words", "place"),
    [
        ("FIELD WELD", FIELD),
        ("site-welded", FIELD),
        ("FW-3 | Field fit weld", FIELD_FIT),
        ("field-fit", FIELD_FIT),
        ("shop weld", SHOP),
        ("Workshop weld", SHOP),
        ("butt weld", ""),
        ("FW-3", ""),
        ("field welder's note", ""),
        ("shop weld | field weld", None),
    ],
)
def test_words_say_where_a_weld_is_made(words: str, place: str | None) -> None:
    assert place_said(words) == place


def test_the_weld_before_and_after_a_fitting() -> None:
    assert text(corner(), field("segment0.1", "bend1.0")) == [
        "run north 1000", "field weld", "elbow", "run up 500", "open end",
    ]  # fmt: skip
    made = text(corner(), field("bend1", "segment2"))
    assert made == ["run north 1000", "elbow", "field weld", "run up 500", "open end"]
    shape = shape_of_text("\n".join(made), Setting("3", "40"))
    assert [one.location for one in shape.joints] == ["shop", "field"]


def test_a_weld_belongs_to_the_joint_it_stands_at() -> None:
    where = at(0, 1000 - A_3 + 4, 0)
    weld = Weld("FW-1", "field weld", where)
    assert text(corner(), weld)[1] == "field weld"
    found = read(corner(), replace(weld, at=at(0, 1000 - A_3 + 6, 0)))
    assert [(one.part, one.why) for one in found.unread] == [
        ("FW-1", "It is a weld, and 0 joints lie within 5 mm of it; accepted is one.")
    ]
    assert "field weld" not in found.routes[0].text


def test_a_port_says_it_of_its_own_weld() -> None:
    made = corner()
    made._change("bend1", 1, weld="field weld")
    assert text(made) == ["run north 1000", "elbow", "field weld", "run up 500", "open end"]


def test_a_field_fit_weld_leaves_a_length_on() -> None:
    made = text(corner(), Weld("FW", "field fit weld", None, ("segment0", "bend1")))
    assert made[1] == "field fit weld"
    assert shape_of_text("\n".join(made), Setting("3", "40")).pipes[0].allowance_mm == 100


def test_two_pipes_have_their_weld_once() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    made.pipe(at(1000, 0, 0), at(3000, 0, 0), schedule="80")
    assert text(made, field("segment0", "segment1"))[:3] == ["run east 1000", "field weld", "size DN 80 sch 80"]


def test_a_part_that_is_but_a_weld_joins_what_it_lies_between() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(998, 0, 0))
    made.add(CONNECTOR, at(998, 0, 0), at(1002, 0, 0), words="Field weld FW-7")
    made.pipe(at(1002, 0, 0), at(3000, 0, 0))
    assert text(made) == ["run east 1000", "field weld", "run east 2000", "open end"]


@pytest.mark.parametrize("apart", [0, 3])
def test_a_part_that_is_but_a_weld_and_ends_free_is_listed(apart: float) -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    made.add("", at(1000, 0, 0), at(1000 + apart, 0, 0), words="weld")
    found = read(made)
    assert [one.why for one in found.unread] == ["It is a weld that joins nothing on one of its sides."]
    assert lines(found.routes[0].text)[2:] == ["run east 1000", "open end"]


@pytest.mark.parametrize("long", [0, 9])
@pytest.mark.parametrize("words", ["weld neck flange", "weldolet", "socket weld coupling", "half coupling, field weld"])
def test_a_fitting_with_weld_in_its_name_is_no_weld(words: str, long: float) -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    made.add(CONNECTOR, at(1000, 0, 0), at(1000 + long, 0, 0), words=words)
    made.pipe(at(1000 + long, 0, 0), at(3000, 0, 0))
    found = read(made)
    assert ("Its two ends are at one place." in [one.why for one in found.unread]) is (not long)
    assert not any("nothing on one of its sides" in one.why for one in found.unread)
    assert "field weld" not in found.routes[0].text


def test_a_tee_s_three_welds_in_the_field() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000 - C_3, 0, 0))
    made.add(JUNCTION, at(1000 - C_3, 0, 0), at(1000, C_3, 0), at(1000 + C_3, 0, 0))
    made.pipe(at(1000, C_3, 0), at(1000, 700, 0))
    made.pipe(at(1000 + C_3, 0, 0), at(3000, 0, 0))
    welds = [field("junction1", one) for one in ("segment0", "segment2", "segment3")]
    told = text(made, *welds)
    assert told == [
        "run east 1000", "field weld", "tee", "branch north", "  field weld", "  run north 700", "  open end", "end branch",
        "field weld", "run east 2000", "open end",
    ]  # fmt: skip
    assert {one.location for one in shape_of_text("\n".join(told), Setting("3", "40")).joints} == {"field"}


def test_the_weld_of_a_branch_pipe_to_its_header() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(2000, 0, 0), at(500, 0, 44.45))
    made.pipe(at(500, 0, 44.45), at(500, 0, 600), nps="2")
    told = text(made, field("segment0", "segment1"))
    assert told[2:4] == ["branch up", "  field weld"]
    assert [(one.kind, one.location) for one in shape_of_text("\n".join(told), Setting("3", "40")).joints] == [
        ("branch", "field")
    ]


def test_that_of_an_outlet_fitting_to_its_header_can_t_be_said_and_is_told() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(2000, 0, 0), at(1200, 44.45, 0))
    made.add(CONNECTOR, at(1200, 44.45, 0), at(1200, 71.45, 0), words="branch olet")
    made.pipe(at(1200, 71.45, 0), at(1200, 400, 0), nps="1", schedule="80")
    found = read(made, field("segment0", "connector1"), field("connector1", "segment2"))
    assert lines(found.routes[0].text)[4:7] == ["branch north", "  field weld", "  size DN 25 sch 80"]
    assert any("to its header is a shop weld in a route" in one for one in found.notices)


def test_welds_of_a_reducer_a_flange_and_a_welded_valve() -> None:
    made = Parts()
    made.add(CONNECTOR, at(0, 0, 0), at(70, 0, 0), words="weld neck flange CL150")
    made.joined("connector0", 0, FLANGED)
    made.pipe(at(70, 0, 0), at(1000, 0, 0))
    made.add(TRANSITION, at(1000, 0, 0), at(1089, 0, 0))
    made.pipe(at(1089, 0, 0), at(2000, 0, 0), nps="2")
    made.add(VALVE, at(2000, 0, 0), at(2200, 0, 0), name="V-1")
    made.pipe(at(2200, 0, 0), at(3000, 0, 0), nps="2")
    pairs = [("connector0", "segment1"), ("segment1", "transition2"), ("segment3", "valve4"), ("valve4", "segment5")]
    assert text(made, *(field(*one) for one in pairs)) == [
        "flange 150 weld-neck", "field weld", "run east 1000", "field weld", "reducer to DN 50 sch 40 length 89", "run east 911",
        "field weld", "valve V-1 length 200", "field weld", "run east 800", "open end",
    ]  # fmt: skip


def test_two_fittings_welded_to_each_other_in_the_field() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(0, 1000 - A_3, 0))
    made.add("bend", at(0, 1000 - A_3, 0), at(0, 1000, A_3))
    made.add("bend", at(0, 1000, A_3), at(A_3, 1000, 2 * A_3))
    made.pipe(at(A_3, 1000, 2 * A_3), at(2000, 1000, 2 * A_3))
    told = text(made, field("bend1", "bend2"))
    assert told[1:5] == ["elbow", "run up fitting to fitting", "field weld", "elbow"]
    shape = shape_of_text("\n".join(told), Setting("3", "40"))
    assert [one.location for one in shape.joints] == ["shop", "field", "shop"]


def test_what_the_model_says_and_what_it_leaves_out_is_told() -> None:
    welds = [field("segment0", "bend1"), Weld("W-2", "weld", None, ("bend1", "segment2"))]
    assert read(corner(), *welds).notices[-2:] == (
        "The model says where these welds are made: 1 field weld. Every other is read as a shop weld.",
        "1 weld stands in the model without a word of shop or field.",
    )


def test_welds_that_contradict_each_other_are_listed() -> None:
    both = [field("segment0", "bend1"), Weld("W-2", "shop weld", None, ("segment0", "bend1"))]
    assert [one.why for one in read(corner(), *both).unread] == [
        "It says shop weld of a weld that is called a field weld elsewhere."
    ]
    astray = [Weld("W-3", "shop weld, field weld", None, ("segment0", "bend1")), Weld("W-4", "weld")]
    assert [one.why.partition(";")[0] for one in read(corner(), *astray).unread] == [
        "It names the shop and the field at once",
        "It is a weld, and the model says neither where it is nor what it joins.",
    ]
    assert "joined in 0 places" in read(corner(), field("segment0", "segment2")).unread[0].why
