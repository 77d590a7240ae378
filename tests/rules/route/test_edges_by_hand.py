"""Edges of routes: numbers that stay, bills, spools, cutting plans and the geometry under them, each worked on paper."""

from decimal import Decimal as D
from math import cos, radians, sin, sqrt, tan

import pytest

from rules.route.bill import BillRow, bill_of, called, totals
from rules.route.ends import saddle
from rules.route.geometry import shape_of_text
from rules.route.legs import cotangent, tangent
from rules.route.nesting import NoStock, Stock, Wanted, cutting_plan, least_bars, waste_step
from rules.route.nesting_counts import filled_by_count, least_by_count
from rules.route.numbering import KnownJoint, KnownPiece, family, numbered_shape, renumber
from rules.route.parts import Setting
from rules.route.shape import Component, JointPlace, RouteShape, SpoolShape
from rules.route.spools import letter, spool_marks
from rules.route.vector import ZERO, Vector, angle_between
from rules.route.written import dimension_text, elevation_text, length_text
from rules.units import SI, US

EAST, NORTH, UP = Vector(D(1), D(0), D(0)), Vector(D(0), D(1), D(0)), Vector(D(0), D(0), D(1))


# --- vectors, angles, lengths as they are written ---


def test_the_frame_is_right_handed() -> None:
    assert (EAST.cross(NORTH), NORTH.cross(UP), UP.cross(EAST)) == (UP, EAST, NORTH)
    one, other = Vector(D(1), D(2), D(3)), Vector(D(4), D(5), D(6))
    # 1 x 4 + 2 x 5 + 3 x 6; and 2 x 6 - 3 x 5, 3 x 4 - 1 x 6, 1 x 5 - 2 x 4
    assert one.dot(other) == 32 and one.cross(other) == Vector(D(-3), D(6), D(-3))
    assert one - other == Vector(D(-3), D(-3), D(-3)) and -one == Vector(D(-1), D(-2), D(-3))
    assert one + other == Vector(D(5), D(7), D(9)) and one.times(D(2)) == Vector(D(2), D(4), D(6))
    assert Vector(D(2), D(3), D(6)).length() == 7 and Vector(D(0), D(-5), D(0)).length() == 5
    assert Vector(D(0), D(3), D(4)).unit() == Vector(D(0), D("0.6"), D("0.8"))
    assert one.floats() == (1.0, 2.0, 3.0)
    with pytest.raises(ValueError, match=r"^A vector without length has no direction\.$"):
        ZERO.unit()


def test_angles_between_directions() -> None:
    assert angle_between(EAST, NORTH) == 90 and angle_between(EAST, -EAST) == 180 and angle_between(UP, UP) == 0
    assert abs(angle_between(EAST, Vector(D(1), D(1), D(0))) - 45) < 1e-12


@pytest.mark.parametrize("degrees", ["1", "22.5", "30", "45", "60", "89"])
def test_tangents(degrees: str) -> None:
    assert abs(float(tangent(D(degrees))) - tan(radians(float(degrees)))) < 1e-12 * tan(radians(float(degrees)))
    assert abs(tangent(D(degrees)) * cotangent(D(degrees)) - 1) < D("1e-24")


def test_the_tangent_of_45_is_one_to_the_last_figure() -> None:
    assert tangent(D(45)) == 1 == cotangent(D(45))


def test_the_long_point_of_a_branch_pipe() -> None:
    # Square on: sqrt(100² - 60²) = 80; of equal size 0.
    assert saddle(D(100), D(60), (D(0), D(1))) == 80
    assert saddle(D(100), D(100), (D(0), D(1))) == 0
    half = D("0.5").sqrt()
    # The least over the circle, tried degree by degree in the drawing of two cylinders.
    tried = min(
        (sqrt(100**2 - (60 * sin(t)) ** 2) - 60 * cos(t) * float(half)) / float(half)
        for t in (step * 3.141592653589793 / 1800 for step in range(3600))
    )
    assert abs(float(saddle(D(100), D(60), (half, half))) - tried) < 1e-3


def test_lengths_as_a_drawing_has_them() -> None:
    assert [length_text(D(one), SI) for one in ("1200", "707.14", "0.05", "0.15")] == [
        "1200 mm", "707.1 mm", "0 mm", "0.2 mm"]  # fmt: skip
    assert (dimension_text(D("707.14"), SI), dimension_text(D("304.8"), US)) == ("707.1", "1' 0\"")
    assert length_text(D("698.5"), US) == "2' 3-1/2\""
    assert [elevation_text(D(one), SI) for one in (0, 3200, -4500)] == ["EL +0", "EL +3200", "EL -4500"]
    assert elevation_text(D("-1371.6"), US) == "EL -4' 6\""


# --- spools ---


def test_spools_are_lettered_like_columns() -> None:
    assert [letter(place) for place in (0, 1, 25, 26, 27, 51, 52, 701, 702)] == [
        "A", "B", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA"]  # fmt: skip


def place(a: str, b: str, location: str = "shop", **more: object) -> JointPlace:
    given = {"number": "", "kind": "butt", "at": ZERO, "axis": NORTH, "nps": "2", "schedule": "40"} | more
    return JointPlace(location=location, piece_a=a, piece_b=b, **given)  # type: ignore[arg-type]


def test_what_shop_welds_join_is_one_spool() -> None:
    joints = [place("1", "2"), place("2", "3", "field"), place("3", "4"), place("4", "5", "field-fit"), place("6", "3")]
    assert spool_marks(["1", "2", "3", "4", "5", "6", "7"], joints, "S-") == {
        "1": "S-A", "2": "S-A", "3": "S-B", "4": "S-B", "6": "S-B", "5": "S-C"}  # fmt: skip
    # A welded support is a joint of one piece.
    assert spool_marks(["1", "2"], [place("1", "")], "") == {"1": "A"}


def test_every_side_over_the_transport_envelope_is_told() -> None:
    text = "ends butt\nrun north 3000\nelbow\nrun up 2000\nelbow\nrun east 1000\nopen end"
    [spool] = shape_of_text(text, Setting("2", "40", envelope_mm=(D(900), D(2500), D(1900)))).spools
    # East 1000 + 30.15, up 2000 + 60.3, north 3000 + 30.15: the shortest against 900, and so on.
    assert spool.exceeds == (
        "The shortest side of spool A is 1030.2 mm, over the 900 mm that can be carried by 130.2 mm.",
        "The middle side of spool A is 2060.3 mm, over the 1900 mm that can be carried by 160.3 mm.",
        "The longest side of spool A is 3030.2 mm, over the 2500 mm that can be carried by 530.2 mm.",
    )
    [fits] = shape_of_text(text, Setting("2", "40", envelope_mm=(D("1030.15"), D("3030.15"), D("2060.3")))).spools
    assert fits.exceeds == ()


# --- numbers that stay ---


def known(number: str, a: str = "", b: str = "", at: Vector | None = None, **more: object) -> KnownJoint:
    given = {"kind": "butt", "nps": "2", "location": "shop"} | more
    return KnownJoint(number, piece_a=a, piece_b=b, at=at, **given)  # type: ignore[arg-type]


def row(*metres: int) -> RouteShape:
    """Joints in a row north, each so many m from the start."""
    return RouteShape(joints=tuple(place("", "", at=NORTH.times(D(1000) * one)) for one in metres))


def test_a_joint_within_a_millimetre_stands_where_it_stood() -> None:
    one = known("7", at=NORTH.times(D(1000)))
    near, far = (RouteShape(joints=(place("", "", at=NORTH.times(D(off))),)) for off in ("1001", "1001.1"))
    assert [(n.number, n.fate, n.changes) for n in renumber(near, [one]).joints] == [("7", "kept", ())]
    assert [(n.number, n.fate, n.changes) for n in renumber(far, [one]).joints] == [
        ("7", "moved", ("moves by 1.1 mm",))]  # fmt: skip
    inches = renumber(RouteShape(joints=(place("", "", at=NORTH.times(D("1304.8"))),)), [one], units=US)
    assert inches.joints[0].changes == ("moves by 1' 0\"",)


def test_a_joint_of_another_kind_or_size_is_never_the_same() -> None:
    spot = NORTH.times(D(1000))
    for other in (known("7", at=spot, kind="socket"), known("7", at=spot, nps="3")):
        found = renumber(row(1), [other])
        assert [(n.number, n.fate) for n in found.joints] == [("8", "new")] and found.gone == (other,)


def test_places_come_before_the_order_of_the_flow() -> None:
    # The route was turned round: by their places 1 and 2 change sides.
    found = renumber(row(1, 2), [known("2", at=NORTH.times(D(2000))), known("1", at=NORTH.times(D(1000)))])
    assert found.numbers() == ("1", "2")


def test_of_two_joints_alike_the_one_that_is_made_at_the_same_place_stays() -> None:
    shape = RouteShape(joints=(place("", "", "field"),))
    found = renumber(shape, [known("1"), known("2", location="field")])
    assert found.numbers() == ("2",) and [one.number for one in found.gone] == ["1"]
    moved = renumber(shape, [known("1")])
    assert moved.joints[0].changes == ("goes from shop to field",)


def test_numbers_that_were_given_once_are_not_given_again() -> None:
    assert renumber(row(1, 2), [], used_numbers=["4", "W9", "03"]).numbers() == ("5", "6")
    assert renumber(row(1), []).numbers() == ("1",)


def test_neighbours_speak_more_than_where_a_joint_is_made() -> None:
    shape = shape_of_text("ends butt\nrun north 500\nelbow\nrun up 500\nopen end", Setting("2", "40"))
    by_place = known("1", pieces=("tee", "valve"))
    by_pieces = known("2", pieces=("pipe", "elbow-45"), location="field")
    assert renumber(RouteShape(joints=shape.joints[:1], pipes=shape.pipes, components=shape.components),
                    [by_place, by_pieces]).numbers() == ("2",)  # fmt: skip


def test_a_family_of_pieces() -> None:
    assert [family(one) for one in ("flange-150", "Flange-weld-neck", "pipe", "")] == ["flange", "flange", "pipe", ""]


def test_marks_of_pieces_and_spools_go_on_from_those_used() -> None:
    shape = shape_of_text(
        "ends butt\nrun north 500\nelbow\nrun up 500\nopen end", Setting("2", "40", spool_prefix="S-")
    )
    found = renumber(shape, [], used_pieces=[KnownPiece("11", "pipe", "2")], used_spools=["S-A", "S-B"], prefix="S-")
    assert found.pieces == {"1": "12", "2": "13", "3": "14"} and found.spools == {"S-A": "S-C"}
    assert [(one.place.piece_a, one.place.piece_b, one.place.spool, one.place.number) for one in found.joints] == [
        ("12", "13", "S-C", "1"), ("13", "14", "S-C", "2")]  # fmt: skip


def test_no_old_mark_is_given_to_two_pieces() -> None:
    shape = shape_of_text("ends butt\nrun north 500\nelbow\nrun up 500\nopen end", Setting("2", "40"))
    found = renumber(shape, [known("1", "P1", "E1"), known("2", "P1", "E1")])
    # The first joint says 1 -> P1 and 2 -> E1; the second says 2 -> P1, 3 -> E1, and both are taken.
    assert found.pieces == {"1": "P1", "2": "E1", "3": "1"}


def test_a_shape_drawn_with_the_marks_that_stay() -> None:
    spool = SpoolShape("A", ("1", "2"), (0,), (D(1), D(1), D(1)), D(0), ("2",),
                       ("The longest side of spool A is 2 mm, over",))  # fmt: skip
    drawn = numbered_shape(RouteShape(joints=(place("1", "2"), place("2", "3")), spools=(spool,)), ["W1"],
                           {"1": "P1", "2": "P2"}, {"A": "S-7"})  # fmt: skip
    assert [(one.number, one.piece_a, one.piece_b) for one in drawn.joints] == [("W1", "P1", "P2"), ("", "P2", "")]
    [one] = drawn.spools
    assert (one.mark, one.pieces, one.left_out) == ("S-7", ("P1", "P2"), ("P2",))
    assert one.exceeds == ("The longest side of spool S-7 is 2 mm, over",)


# --- bill of material ---


def part(kind: str, **more: object) -> Component:
    return Component("1", kind, 1, ZERO, (), "2", **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("one", "name"),
    [
        (part("elbow-90"), "elbow 90°, long radius"),
        (part("elbow-90-short"), "elbow 90°, short radius"),
        (part("elbow-45"), "elbow 45°"),
        (part("elbow-cut", angle=59.96), "elbow cut from 90° to 60.0°"),
        (part("reducer-concentric"), "reducer, concentric"),
        (part("reducer-eccentric"), "reducer, eccentric"),
        (part("half-coupling"), "half coupling"),
        (part("flange-weld-neck"), "flange, weld neck"),
        (part("flange-slip-on"), "flange, slip-on"),
        (part("flange-socket"), "flange, socket welding"),
        (part("flange-blind"), "flange, blind"),
        (part("pad"), "reinforcing pad"),
        (part("tee"), "tee"),
        (part("valve", tag="V-1"), "valve V-1"),
        (part("valve"), "valve"),
        (part("instrument", tag="PT-2"), "instrument PT-2"),
        (part("item", tag="strainer"), "strainer"),
        (part("item"), "item"),
        (part("gasket"), "gasket"),
        (part("gasket", length_mm=D("3")), "gasket, 3 mm thick"),
        (part("pad", width_mm=D("50")), "reinforcing pad, 50 mm wide"),
    ],
)
def test_what_a_thing_is_called_on_a_bill(one: Component, name: str) -> None:
    assert called(one) == name


def test_a_bill_row_by_row() -> None:
    text = ("ends butt\nrun north 500\nflange 150\ngasket 3\nvalve V-1 length 200 bolted\ngasket 3\nflange 150\n"
            "run north 500\nreducer to 3\nrun north 500\nopen end")  # fmt: skip
    rows = bill_of(shape_of_text(text, Setting("4", "40", spool_prefix="S-")))
    # NPS 4 weld neck Class 150: 75 + 2 from the face: 500 - 77 - 3, then also a reducer: 500 - 77 - 6.
    assert [(one.spool, one.what, " x ".join(filter(None, (one.nps, one.second_nps))), one.schedule, one.pressure_class, one.count) for one in rows] == [
        ("S-A", "pipe", "4", "40", "", 1), ("S-A", "flange, weld neck", "4", "", "150", 1),
        ("S-B", "pipe", "4", "40", "", 1), ("S-B", "pipe", "3", "40", "", 1),
        ("S-B", "flange, weld neck", "4", "", "150", 1), ("S-B", "reducer, concentric", "4 x 3", "40", "", 1),
        ("", "gasket, 3 mm thick", "4", "", "", 2), ("", "valve V-1", "4", "40", "", 1)]  # fmt: skip
    assert [one.marks for one in rows if one.what.startswith("gasket")] == [("3", "5")]
    whole = totals(rows)
    assert [(one.what, one.nps, one.count, one.length_mm) for one in whole[:3]] == [
        ("pipe", "4", 2, sum(one.length_mm or 0 for one in rows if (one.what, one.nps) == ("pipe", "4"))), ("flange, weld neck", "4", 2, None),
        ("pipe", "3", 1, D(497))]  # fmt: skip
    assert whole[1].marks == ("2", "6") and {one.spool for one in whole} == {""}


def test_totals_keep_sizes_schedules_and_classes_apart() -> None:
    rows = [BillRow("A", "tee", "2", "40", "", 1, None, ("1",)), BillRow("B", "tee", "2", "80", "", 2, None, ("2", "3")),
            BillRow("B", "tee", "2", "40", "3000", 1, None, ("4",)), BillRow("C", "tee", "2", "40", "", 3, None, ("5",))]  # fmt: skip
    assert [(one.schedule, one.pressure_class, one.count) for one in totals(rows)] == [
        ("40", "", 4), ("80", "", 2), ("40", "3000", 1)]  # fmt: skip


# --- cutting plans ---


def plan(*lengths: str, bar: str = "6000", **more: object):
    wanted = [Wanted(str(number), D(one)) for number, one in enumerate(lengths, start=1)]
    return cutting_plan(wanted, D(bar), **more)  # type: ignore[arg-type]


def test_a_piece_as_long_as_the_bar_needs_no_kerf() -> None:
    whole = plan("6000")
    assert (whole.new_bars, whole.waste_mm, whole.rest_mm, whole.too_long) == (1, 0, 0, ())
    assert [one.mark for one in plan("6000.1").too_long] == ["1"]
    # In tenths a piece counts upwards and a bar downwards.
    assert plan("6000.01").too_long and plan("6000", bar="6000.05").too_long == ()


def test_what_is_kept_and_what_is_waste() -> None:
    # 6000 - 5697 - 3 = 300 is kept; of 5698 there are 299 left, which are waste with the kerf.
    kept, lost = plan("5697"), plan("5698")
    assert (kept.bars[0].rest_mm, kept.bars[0].is_rest_usable, kept.rest_mm, kept.waste_mm) == (300, True, 300, 3)
    assert (lost.bars[0].rest_mm, lost.bars[0].is_rest_usable, lost.rest_mm, lost.waste_mm) == (299, False, 0, 302)
    assert kept.steps == ("stock 6000.0 mm - cut 5697.0 mm - rests to keep 300.0 mm = waste 3.0 mm (0.0 %)",
                          "new bars: 1; fewer than 1 are not possible")  # fmt: skip
    assert plan("5698", usable_mm=D(299)).rest_mm == 299
    # Each to a tenth, 0.05 down, up and down: 100.0 - 50.0 - 49.9 would leave 0.1, and not the 0.15 rounded to 0.2.
    told = waste_step(D(100), D("49.95"), D("49.9"), "in")
    assert told == "stock 100.0 in - cut 50.0 in - rests to keep 49.9 in = waste 0.1 in (0.2 %)"
    assert plan("1000", rests=[Stock("rest", D(1200))]).steps[1] == "new bars: 0"
    assert plan("1000", heat="H-7").bars[0].stock == Stock("bar 1", D(6000), "H-7")


def test_the_last_cut_may_end_within_the_kerf() -> None:
    # 5998 leaves 2, less than the kerf of 3: the rest is 0, never under it.
    assert plan("5998").bars[0].rest_mm == 0


def test_a_piece_too_long_for_a_bar_but_not_for_a_rest() -> None:
    long = plan("7000", "8000", "1000", rests=[Stock("rest", D(7500))])
    assert [(bar.stock.name, [one.mark for one in bar.pieces]) for bar in long.bars] == [
        ("rest", ["1"]), ("bar 1", ["3"])]  # fmt: skip
    assert [one.mark for one in long.too_long] == ["2"]
    assert (long.new_bars, long.bound) == (1, 1)


@pytest.mark.parametrize("bar", ["0", "-1"])
def test_a_bar_without_length_or_a_kerf_under_nothing_is_refused(bar: str) -> None:
    with pytest.raises(NoStock, match=r"^A bar needs a length over 0, and the kerf of the saw is 0 or more\.$"):
        plan("1", bar=bar)
    with pytest.raises(NoStock):
        plan("1", kerf_mm=D("-0.1"))
    assert plan("3000", "3000", kerf_mm=D(0)).new_bars == 1


def test_no_pieces_no_bars() -> None:
    nothing = plan()
    assert (nothing.bars, nothing.new_bars, nothing.bound, nothing.waste_mm) == ((), 0, 0, 0)
    assert nothing.steps[0].endswith("= waste 0.0 mm (0.0 %)")


def test_bounds_worked_on_paper() -> None:
    # By length 3 x 40 / 100 = 1.2; by halves: three over half a bar need a bar each.
    assert least_bars([], 100) == 0 and least_bars([40, 40, 40], 100) == 2 and least_bars([51, 51, 51], 100) == 3
    # 50 is no more than half: two fill a bar.
    assert least_bars([50, 50, 50, 50], 100) == 2 and least_by_count([50, 50], 100) == 1
    # 34 three times is over 100, so a bar holds two.
    assert least_by_count([34] * 5, 100) == 3 and least_by_count([33] * 6, 100) == 2


def test_bars_of_a_count() -> None:
    sizes = [40, 35, 30, 30, 34, 31]
    order = sorted(range(6), key=lambda one: (-sizes[one], one))
    found = filled_by_count(order, sizes, 100, 2)
    # Three to a bar: 200 of two bars, and the six come to 200.
    assert sorted(sum(sizes[one] for one in bar) for bar in found) == [100, 100]
    assert sorted(one for bar in found for one in bar) == list(range(6))
