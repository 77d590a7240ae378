"""Numbers are given once along the flow; a new revision keeps them, whatever is put in or taken out."""

from dataclasses import replace
from decimal import Decimal as D

from rules.route.bill import bill_of, totals
from rules.route.geometry import shape_of_text
from rules.route.numbering import KnownJoint, KnownPiece, numbered_shape, renumber
from rules.route.parts import Setting

SETTING = Setting("2", "80", spool_prefix="S-")
ROUTE = "ends socket\nflange 150\nrun north 1200\nelbow\nrun up 800\n{}elbow\nrun north 900\nopen end\n"
FIRST = ROUTE.format("")


def shape(text):
    found = shape_of_text(text, SETTING)
    assert not found.faults
    return found


def known(shape, renumbered):
    """The sheet's joints after a route was applied."""
    kinds = {one.mark: "pipe" for one in shape.pipes} | {one.mark: one.kind for one in shape.components}
    return [
        KnownJoint(one.number, one.place.kind, one.place.nps, one.place.location, one.place.piece_a, one.place.piece_b,
                   (kinds[old.piece_a], kinds[old.piece_b]), one.place.spool, one.place.spool_b, one.place.at)
        for one, old in zip(renumbered.joints, shape.joints, strict=True)
    ]  # fmt: skip


def test_the_first_route_is_numbered_along_the_flow():
    found = renumber(shape(FIRST), [], prefix="S-")
    assert found.numbers() == ("1", "2", "3", "4", "5")
    assert {one.fate for one in found.joints} == {"new"}
    assert set(found.spools.values()) == {"S-A"}


def revised(text, before=FIRST):
    old = shape(before)
    first = renumber(old, [], prefix="S-")
    return renumber(shape(text), known(old, first), used_spools=first.spools.values(), prefix="S-")


def test_the_same_route_again_keeps_everything():
    found = revised(FIRST)
    assert [(one.number, one.fate, one.changes) for one in found.joints] == [(str(n), "kept", ()) for n in range(1, 6)]
    assert not found.gone
    assert all(mark == kept for mark, kept in found.pieces.items())


def test_a_coupling_put_in_gets_new_numbers_and_moves_nobody():
    found = revised(ROUTE.format("coupling\nrun up 500\n"))
    # The rise grew: what comes after it moved up by 500.
    assert [(one.number, one.fate) for one in found.joints] == [
        ("1", "kept"), ("2", "kept"), ("3", "kept"), ("6", "new"), ("7", "new"), ("4", "moved"), ("5", "moved")]  # fmt: skip
    assert found.joints[-1].changes[0] == "moves by 500 mm"
    assert {found.pieces[one] for one in found.pieces} >= {"1", "2", "3", "4", "5", "6", "7", "8"}


def test_a_joint_taken_out_is_gone_and_its_number_stays_unused():
    longer = ROUTE.format("coupling\nrun up 500\n")
    old = shape(longer)
    first = renumber(old, [], prefix="S-")
    found = renumber(shape(FIRST), known(old, first), prefix="S-")
    assert [one.number for one in found.gone] == ["4", "5"]
    assert found.numbers() == ("1", "2", "3", "6", "7")
    again = renumber(shape(longer), known(shape(FIRST), found), used_numbers=["4", "5"], prefix="S-")
    assert again.numbers() == ("1", "2", "3", "8", "9", "6", "7")


def test_a_shop_weld_that_goes_to_the_field_and_the_spools_it_parts():
    found = revised(ROUTE.format("field weld\n"))
    changed = {one.number: one.changes for one in found.joints if one.changes}
    assert changed["4"] == ("goes from shop to field", "spool B goes from none to S-B")
    assert changed["5"] == ("spool goes from S-A to S-B",)
    assert [one.fate for one in found.joints] == ["kept"] * 5


def test_joints_without_a_place_are_matched_along_the_flow_by_what_they_join():
    joints = [
        KnownJoint("W1", "socket", "2", "shop", "11", "12", ("flange-150", "pipe")),
        KnownJoint("W2", "socket", "2", "shop", "12", "13", ("pipe", "elbow-90")),
        KnownJoint("W9", "butt", "2", "shop"),
    ]
    found = renumber(shape(FIRST), joints)
    assert found.numbers() == ("W1", "W2", "1", "2", "3")
    assert [one.number for one in found.gone] == ["W9"]
    assert [found.pieces[mark] for mark in "123"] == ["11", "12", "13"]


def test_the_shape_takes_the_numbers_and_marks_that_stay():
    old = shape(FIRST)
    found = renumber(old, [KnownJoint("W1", "socket", "2", "shop", "F1", "P1", ("flange", "pipe"), "SP-7")])
    drawn = numbered_shape(old, found.numbers(), found.pieces, found.spools)
    assert (drawn.joints[0].number, drawn.joints[0].piece_a, drawn.joints[0].spool) == ("W1", "F1", "SP-7")
    assert drawn.spools[0].mark == "SP-7" and drawn.spools[0].pieces[:2] == ("F1", "P1")


def test_bill_by_spool_and_of_the_line():
    rows = bill_of(shape(ROUTE.format("field weld\n")))
    assert [(one.spool, one.what, one.count) for one in rows] == [
        ("S-A", "pipe", 2), ("S-A", "flange, socket welding", 1), ("S-A", "elbow 90°", 1),
        ("S-B", "pipe", 1), ("S-B", "elbow 90°", 1)]  # fmt: skip
    # 1200 - 9 - 38 - 3 = 1150; 800 - 76 - 3 = 721; 900 - 38 - 1.5 = 860.5
    assert [one.length_mm for one in rows if one.what == "pipe"] == [D("1871"), D("860.5")]
    assert [(one.what, one.count, one.length_mm) for one in totals(rows)][0] == ("pipe", 3, D("2731.5"))


def test_a_spool_over_the_transport_envelope_and_its_weight():
    setting = Setting("2", "80", spool_prefix="S-", envelope_mm=(D(12000), D(500), D(800)))
    spool = shape_of_text(FIRST, setting).spools[0]
    # Steel tables give 7.48 kg/m for 60.3 x 5.54; 1150 + 721 + 860.5 = 2731.5 mm of it.
    assert abs(float(spool.weight_kg) - 7.48 * 2.7315) < 0.05
    assert spool.left_out == ("1", "3", "5")
    # From the flange's face to the open end 1200 + 900; half a pipe below, 800 of rise, half a pipe above.
    assert spool.size_mm == (D("60.3"), D(2100), D("860.3"))
    assert spool.exceeds == (
        "The middle side of spool S-A is 860.3 mm, over the 800 mm that can be carried by 60.3 mm.",
    )


def test_what_is_bolted_in_keeps_its_mark():
    text = "flange 150\ngasket 3\ninstrument FT length 250 bolted\ngasket 3\nflange 150\nrun north 500\nopen end\n"
    old = shape("ends butt\nopen end\n".replace("open end\n", "run north 900\n") + text)
    first = renumber(old, [], prefix="S-")
    had = [KnownPiece(first.pieces["1"], "pipe", "2")]
    had += [KnownPiece(first.pieces[one.mark], one.kind, one.nps) for one in old.components]
    again = renumber(old, known(old, first), used_pieces=had, prefix="S-")
    assert again.pieces == first.pieces
    # One gasket less: the instrument keeps its mark, and of the gaskets the first that was there stays.
    fewer = shape(("ends butt\nrun north 900\n" + text).replace("gasket 3\n", "", 1))
    kept = renumber(fewer, known(old, first), used_pieces=had, prefix="S-")
    bolted = {one.kind: kept.pieces[one.mark] for one in fewer.components if not one.kind.startswith("flange")}
    assert bolted == {"instrument": "4", "gasket": "3"}
    # Of another size it is another thing.
    smaller = [replace(one, nps="3") if one.kind == "instrument" else one for one in had]
    assert renumber(old, known(old, first), used_pieces=smaller, prefix="S-").pieces["4"] == "8"


COUPLED = "ends socket\nrun north {}\ncoupling\nrun north 900\nopen end\n"


def test_a_coupling_moved_by_its_own_length_keeps_its_welds_in_their_order():
    # NPS 2: 19 between the socket bottoms and two sockets 16 deep (ASME B16.11): its welds are 51 apart.
    old = shape(COUPLED.format(900))
    first = renumber(old, [], prefix="S-")
    assert (old.joints[1].at - old.joints[0].at).length() == 51
    moved = renumber(shape(COUPLED.format(951)), with_axes(old, first), prefix="S-")
    assert [(one.number, one.fate, one.changes) for one in moved.joints] == [
        ("1", "moved", ("moves by 51 mm",)), ("2", "moved", ("moves by 51 mm",))]  # fmt: skip


def test_a_route_written_from_its_other_end_keeps_every_joint():
    old = shape(FIRST.replace("open end\n", "cap length 40\n"))
    back = "start at N 2100 E 0 EL 800\nends socket\ncap length 40\nrun south 900\nelbow\nrun down 800\nelbow\n"
    found = renumber(shape(back + "run south 1200\nflange 150\n"), with_axes(old, renumber(old, [], prefix="S-")))
    assert [(one.number, one.fate) for one in found.joints] == [(str(number), "kept") for number in (6, 5, 4, 3, 2, 1)]


def with_axes(shape, renumbered):
    """The sheet's joints after a route was applied, with the direction of the flow through each."""
    return [replace(one, axis=place.axis) for one, place in zip(known(shape, renumbered), shape.joints, strict=True)]
