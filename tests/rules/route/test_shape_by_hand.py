"""Two routes worked through on paper, everything that comes of them beside the arithmetic: pieces, ends, joints, paper."""

from decimal import Decimal as D
from typing import Any

import pytest

from rules.route.geometry import shape_of_text
from rules.route.parts import Setting
from rules.route.shape import RouteShape
from rules.route.vector import Vector


def at(place: Vector | None) -> str:
    return "-" if place is None else " ".join(f"{part:.2f}".removesuffix(".00") for part in place.parts())


def lines(text: str) -> list[str]:
    return [" ".join(line.split()) for line in text.strip().splitlines()]


def told(*parts: object) -> str:
    shown = (f"{part:f}" if isinstance(part, D) else str(part) for part in parts)
    return " ".join(part if part else "-" for part in shown)


def sound(text: str, nps: str, schedule: str, **more: Any) -> RouteShape:
    shape = shape_of_text(text, Setting(nps, schedule, spool_prefix="S-", **more))
    assert not shape.faults
    return shape


# Butt welds with 3 between. Outside diameters 114.3, 88.9 and 60.3; NPS 4 x 3 reducer 102 long, its flat side below, so
# the axis drops by (114.3 - 88.9) / 2 = 12.7; NPS 3 elbow 114; a slip-on flange stands back by the wall 3.91.
# The stub's long point: sqrt(57.15² - 30.15²) = 48.55 from the header's axis.
BUTT = """\
ends butt ; as built
start at E 1000 N 2000 EL -500
continued from sheet 1
run north 1000
support shoe called PS-1
run north 500
support anchor called PS-2 welded
stub 2 sch 40 pad 40
branch up
run up 400
flange 300 slip-on
blind 300
end branch
run north 500
reducer eccentric flat down to 3
run north 600
elbow 90
run down 700
field fit weld
valve V-1 length 203 butt weight 25 kg
run down 300
open end"""

# Class 6000 sockets with a gap of 2. NPS 1: tee 27, elbow 45 17.5, coupling 12.5 / 2, depth 12.5; half coupling NPS 1/2
# 22.5 with a depth of 9.5 on a pipe of 26.7; socket flange Class 150 5 to the bottom of a socket 13 deep.
SOCKET = """\
ends socket class 6000
gap 2
start at E 0 N 0 EL 100
flange 150
run east 300
tee 3/4
point A
branch north
size 3/4 sch 80
run north 200
half coupling 1/2
branch up
run up 100
continue on drain
end branch
run north 200
open end
end branch
run east 400
coupling weight 0.5 kg
run east 300
elbow 45
run southeast 200
item U-1 length 60 class 3000
run southeast 100
open end"""


@pytest.fixture(scope="module")
def butt() -> RouteShape:
    return sound(BUTT, "4", "40")


@pytest.fixture(scope="module")
def socket() -> RouteShape:
    return sound(SOCKET, "1", "80")


def test_nodes(butt: RouteShape, socket: RouteShape) -> None:
    assert [(one.number, at(one.at), one.line) for one in butt.nodes] == [
        (1, "1000 2000 -500", 0), (2, "1000 3000 -500", 4), (3, "1000 3500 -500", 6), (4, "1000 3500 -100", 10),
        (5, "1000 4000 -500", 14), (6, "1000 4102 -512.70", 15), (7, "1000 4702 -512.70", 16),
        (8, "1000 4702 -1212.70", 18), (9, "1000 4702 -1415.70", 20), (10, "1000 4702 -1715.70", 21)]  # fmt: skip
    # 200 and 100 to the south-east are 141.42 and 70.71 along each axis, the 60 between them 42.43.
    assert [(at(one.at), one.name) for one in socket.nodes] == [
        ("0 0 100", ""), ("300 0 100", "A"), ("300 200 100", ""), ("300 200 200", ""), ("300 400 100", ""),
        ("700 0 100", ""), ("1000 0 100", ""), ("1141.42 -141.42 100", ""), ("1183.85 -183.85 100", ""),
        ("1254.56 -254.56 100", "")]  # fmt: skip


def pipes(shape: RouteShape) -> list[str]:
    return [
        told(one.mark, f"{one.start}-{one.end}", at(one.first), "to", at(one.last), "along", at(one.direction),
             f"{one.nps}/{one.schedule}", f"{one.centre_mm:.2f}", f"{one.cut_mm:.2f}", one.through, one.spool, one.line)
        for one in shape.pipes
    ]  # fmt: skip


def test_lengths_of_pipe_of_the_butt_welded_route(butt: RouteShape) -> None:
    assert pipes(butt) == lines("""
        1 1-5 1000 2000 -500 to 1000 3997 -500 along 0 1 0 4/40 2000.00 1997.00 (2, 3) S-A 4
        3 3-4 1000 3500 -448.45 to 1000 3500 -103.91 along 0 0 1 2/40 400.00 344.54 () S-A 10
        7 6-7 1000 4105 -512.70 to 1000 4585 -512.70 along 0 1 0 3/40 600.00 480.00 () S-A 16
        9 7-8 1000 4702 -629.70 to 1000 4702 -1209.70 along 0 0 -1 3/40 700.00 680.00 () S-A 18
        11 9-10 1000 4702 -1418.70 to 1000 4702 -1715.70 along 0 0 -1 3/40 300.00 297.00 () S-B 21
    """)
    assert [one.steps for one in butt.pipes] == [
        ("2000 - reducer end 0 - 1 x 3 = 1997 mm",),
        ("400 - saddle 48.55 - slip-on set-back 3.91 - 1 x 3 = 344.54 mm",),
        ("600 - reducer end 0 - 90° elbow 114 - 2 x 3 = 480 mm",),
        ("700 - 90° elbow 114 - valve end 0 - 2 x 3 = 580 mm", "580 + field-fit allowance 100 = 680 mm"),
        ("300 - valve end 0 - 1 x 3 = 297 mm",),
    ]
    assert [(one.takeouts_mm[0].quantize(D("0.01")), one.takeouts_mm[1], one.gaps_mm) for one in butt.pipes] == [
        (0, 0, (0, 3)), (D("48.55"), D("3.91"), (3, 0)), (0, 114, (3, 3)), (114, 0, (3, 3)), (0, 0, (3, 0))]  # fmt: skip
    assert [one.allowance_mm for one in butt.pipes] == [0, 0, 0, 100, 0]
    assert {one.insertion_mm for one in butt.pipes} == {(None, None)}


def test_lengths_of_pipe_of_the_socket_route(socket: RouteShape) -> None:
    # 300 - 5 - 27 - 4; 400 - 27 - 2; 100 - 35.85 - 2; 400 - 27 - 6.25 - 4; 300 - 6.25 - 17.5 - 4; and into the item's
    # sockets 12.5 each: 200 - 17.5 + 12.5 - 4, 100 + 12.5 - 2.
    assert [f"{one.cut_mm:.2f}" for one in socket.pipes] == [
        "264.00", "371.00", "62.15", "362.75", "272.25", "191.00", "110.50"]  # fmt: skip
    assert [one.insertion_mm for one in socket.pipes] == [
        (11, D("10.5")), (D("10.5"), None), (D("7.5"), None), *[(D("10.5"), D("10.5"))] * 3, (D("10.5"), None)]  # fmt: skip
    assert socket.pipes[2].steps == ("100 - half coupling 35.85 - 1 x 2 = 62.15 mm", "insertion 9.5 - 2 = 7.5 mm")
    assert [(at(one.first), at(one.last)) for one in socket.pipes][-2:] == [
        ("1013.79 -13.79 100", "1148.85 -148.85 100"), ("1176.42 -176.42 100", "1254.56 -254.56 100")]  # fmt: skip


def components(shape: RouteShape) -> list[str]:
    return [
        told(one.mark, one.kind, one.node, at(one.centre), one.nps, one.second_nps, one.schedule, one.pressure_class,
             one.length_mm, one.angle, at(one.flat), one.tag, one.spool, one.line)
        for one in shape.components
    ]  # fmt: skip


def test_components(butt: RouteShape, socket: RouteShape) -> None:
    assert components(butt) == lines("""
        2 pad 3 1000 3500 -500 4 2 40 - 0 0.0 - - S-A 8
        4 flange-slip-on 4 1000 3500 -100 2 - 40 300 3.91 0.0 - - S-A 11
        5 flange-blind 4 1000 3500 -100 2 - 40 300 0 0.0 - - - 12
        6 reducer-eccentric 5 1000 4000 -500 4 3 40 - 102 0.0 0 0 -1 - S-A 15
        8 elbow-90 7 1000 4702 -512.70 3 - 40 - 0 90.0 - - S-A 17
        10 valve 8 1000 4702 -1212.70 3 - 40 - 203 0.0 - V-1 S-B 20
    """)
    assert components(socket) == lines("""
        1 flange-socket 1 0 0 100 1 - 80 150 18 0.0 - - S-A 4
        3 tee 2 300 0 100 1 3/4 80 6000 0 0.0 - - S-A 6
        5 half-coupling 3 300 200 100 3/4 1/2 80 6000 0 0.0 - - S-A 11
        8 coupling 6 700 0 100 1 - 80 6000 0 0.0 - - S-A 20
        10 elbow-45 7 1000 0 100 1 - 80 6000 0 45.0 - - S-A 22
        12 item 8 1141.42 -141.42 100 1 - 80 3000 60 0.0 - U-1 S-A 24
    """)


def ends(shape: RouteShape) -> list[str]:
    return [
        told(part.mark, at(one.at), "out", at(one.outward), one.nps, f"{one.takeout_mm:f}", one.joined, one.depth_mm)
        for part in shape.components
        for one in part.ends
    ]


def test_ends_of_components(butt: RouteShape, socket: RouteShape) -> None:
    assert ends(butt) == lines("""
        2 1000 3500 -442.85 out 0 0 -1 2 57.15 on pipe None
        4 1000 3500 -103.91 out 0 0 -1 2 3.91 flange-slip-on None
        4 1000 3500 -100 out 0 0 1 2 0 bolted None
        5 1000 3500 -100 out 0 0 -1 2 0 bolted None
        6 1000 4000 -500 out 0 -1 0 4 0 butt None
        6 1000 4102 -512.70 out 0 1 0 3 0 butt None
        8 1000 4588 -512.70 out 0 -1 0 3 114 butt None
        8 1000 4702 -626.70 out 0 0 -1 3 114 butt None
        10 1000 4702 -1212.70 out 0 0 1 3 0 butt None
        10 1000 4702 -1415.70 out 0 0 -1 3 0 butt None
    """)
    assert ends(socket) == lines("""
        1 0 0 100 out -1 0 0 1 0 bolted None
        1 5 0 100 out 1 0 0 1 5 socket 13
        3 273 0 100 out -1 0 0 1 27 socket 12.5
        3 327 0 100 out 1 0 0 1 27 socket 12.5
        3 300 27 100 out 0 1 0 3/4 27 socket 12.5
        5 300 200 113.35 out 0 0 -1 1/2 13.35 on pipe None
        5 300 200 135.85 out 0 0 1 1/2 35.85 socket 9.5
        8 693.75 0 100 out -1 0 0 1 6.25 socket 12.5
        8 706.25 0 100 out 1 0 0 1 6.25 socket 12.5
        10 982.50 0 100 out -1 0 0 1 17.5 socket 12.5
        10 1012.37 -12.37 100 out 0.71 -0.71 0 1 17.5 socket 12.5
        12 1150.26 -150.26 100 out -0.71 0.71 0 1 -12.5 socket 12.5
        12 1175.01 -175.01 100 out 0.71 -0.71 0 1 -12.5 socket 12.5
    """)


def joints(shape: RouteShape) -> list[str]:
    return [
        told(one.kind, one.location, at(one.at), "along", at(one.axis), f"{one.nps}/{one.schedule}", one.piece_a,
             one.piece_b, one.spool, one.spool_b, one.socket_class, one.part, one.line)
        for one in shape.joints
    ]  # fmt: skip


def test_joints(butt: RouteShape, socket: RouteShape) -> None:
    assert joints(butt) == lines("""
        attachment shop 1000 3500 -500 along 0 1 0 4/40 1 - S-A - - - 6
        branch shop 1000 3500 -442.85 along 0 0 1 2/40 1 3 S-A - - - 10
        pad shop 1000 3500 -442.85 along 0 0 1 2/40 3 2 S-A - - inner 10
        pad shop 1000 3500 -442.85 along 0 0 1 2/40 1 2 S-A - - outer 10
        slip-on shop 1000 3500 -103.91 along 0 0 1 2/40 3 4 S-A - - - 11
        butt shop 1000 4000 -500 along 0 1 0 4/40 1 6 S-A - - - 15
        butt shop 1000 4102 -512.70 along 0 1 0 3/40 6 7 S-A - - - 16
        butt shop 1000 4588 -512.70 along 0 1 0 3/40 7 8 S-A - - - 17
        butt shop 1000 4702 -626.70 along 0 0 -1 3/40 8 9 S-A - - - 18
        butt field-fit 1000 4702 -1212.70 along 0 0 -1 3/40 9 10 S-A S-B - - 19
        butt shop 1000 4702 -1415.70 along 0 0 -1 3/40 10 11 S-B - - - 21
    """)
    assert joints(socket) == lines("""
        socket shop 18 0 100 along 1 0 0 1/80 1 2 S-A - - - 5
        socket shop 260.50 0 100 along 1 0 0 1/80 2 3 S-A - 6000 - 6
        socket shop 300 39.50 100 along 0 1 0 3/4/80 3 4 S-A - 6000 - 10
        branch shop 300 200 113.35 along 0 0 1 1/2/80 4 5 S-A - - - 11
        socket shop 300 200 145.35 along 0 0 1 1/2/80 5 6 S-A - 6000 - 13
        socket shop 339.50 0 100 along 1 0 0 1/80 3 7 S-A - 6000 - 19
        socket shop 681.25 0 100 along 1 0 0 1/80 7 8 S-A - 6000 - 20
        socket shop 718.75 0 100 along 1 0 0 1/80 8 9 S-A - 6000 - 21
        socket shop 970 0 100 along 1 0 0 1/80 9 10 S-A - 6000 - 22
        socket shop 1021.21 -21.21 100 along 0.71 -0.71 0 1/80 10 11 S-A - 6000 - 23
        socket shop 1141.42 -141.42 100 along 0.71 -0.71 0 1/80 11 12 S-A - 3000 - 24
        socket shop 1183.85 -183.85 100 along 0.71 -0.71 0 1/80 12 13 S-A - 3000 - 25
    """)


def test_what_the_drawing_shows_of_the_butt_welded_route(butt: RouteShape) -> None:
    assert [(one.node, at(one.at), one.kind, one.name, one.is_welded) for one in butt.supports] == [
        (2, "1000 3000 -500", "shoe", "PS-1", False), (3, "1000 3500 -500", "anchor", "PS-2", True)]  # fmt: skip
    [comes] = butt.continuations
    assert (comes.node, at(comes.at), at(comes.outward), comes.text, comes.is_start) == (
        1, "1000 2000 -500", "0 -1 0", "sheet 1", True)  # fmt: skip
    assert [(one.length_mm, one.text, one.of) for one in butt.dimensions] == [
        (1000, "1000", "centre"), (500, "500", "centre"), (400, "400", "centre"), (500, "500", "centre"),
        (102, "102", "length"), (600, "600", "centre"), (700, "700", "centre"), (203, "203", "length"),
        (300, "300", "centre")]  # fmt: skip
    assert [(at(one.start), at(one.end)) for one in butt.dimensions][3:5] == [
        ("1000 3500 -500", "1000 4000 -500"), ("1000 4000 -500", "1000 4102 -512.70")]  # fmt: skip
    assert [(one.node, one.text) for one in butt.elevations] == [
        (5, "EL -500"), (6, "EL -512.7"), (8, "EL -1212.7"), (9, "EL -1415.7")]  # fmt: skip
    # The start, the face of the branch's flange, the open end.
    assert [(one.node, at(one.at), one.text) for one in butt.end_places] == [
        (1, "1000 2000 -500", ("E 1000", "N 2000", "EL -500")), (4, "1000 3500 -100", ("E 1000", "N 3500", "EL -100")),
        (10, "1000 4702 -1715.70", ("E 1000", "N 4702", "EL -1715.7"))]  # fmt: skip
    assert butt.from_start == ()
    # In the middle of each cut pipe: (2000 + 3997) / 2, (4105 + 4585) / 2.
    assert [(at(one.at), at(one.direction)) for one in butt.flow] == [
        ("1000 2998.50 -500", "0 1 0"), ("1000 3500 -276.18", "0 0 1"), ("1000 4345 -512.70", "0 1 0"),
        ("1000 4702 -919.70", "0 0 -1"), ("1000 4702 -1567.20", "0 0 -1")]  # fmt: skip
    assert butt.notes == (
        "A pipe is set back from a slip-on flange's face by its own wall: common practice, no source.",
    )


def test_what_the_drawing_shows_of_the_socket_route(socket: RouteShape) -> None:
    [goes] = socket.continuations
    assert (goes.node, at(goes.at), at(goes.outward), goes.text, goes.is_start) == (
        4, "300 200 200", "0 0 1", "drain", False)  # fmt: skip
    assert [(at(one.start), at(one.end), one.text, one.of) for one in socket.dimensions][6:9] == [
        ("1000 0 100", "1141.42 -141.42 100", "200", "centre"),
        ("1000 0 100", "1141.42 0 100", "141.4", "offset"),
        ("1141.42 0 100", "1141.42 -141.42 100", "141.4", "offset"),
    ]
    assert socket.elevations == ()
    # The flange, the drain, the end of the tee's branch and the open end 200 + 60 + 100 further to the south-east.
    assert [(one.node, one.text) for one in socket.end_places] == [
        (1, ("E 0", "N 0", "EL +100")), (4, ("E 300", "N 200", "EL +200")), (5, ("E 300", "N 400", "EL +100")),
        (10, ("E 1254.6", "N -254.6", "EL +100"))]  # fmt: skip
    assert socket.notes == ()


def test_spools(butt: RouteShape, socket: RouteShape) -> None:
    first, second = butt.spools
    assert (first.mark, first.pieces, first.joints, first.left_out) == (
        "S-A", ("1", "2", "3", "4", "6", "7", "8", "9"), tuple(range(10)), ("2", "4", "6", "8"))  # fmt: skip
    assert (second.mark, second.pieces, second.joints, second.left_out) == ("S-B", ("10", "11"), (9, 10), ())
    # East: the NPS 4. North: from 2000 to 4702 and half of NPS 3. Up: from the flange at -100 down to -1209.7.
    assert first.size_mm == (D("114.3"), D("2746.45"), D("1109.7"))
    assert second.size_mm == (D("88.9"), D("88.9"), D("503"))
    # Steel tables: 16.07 kg/m of 114.3 x 6.02, 5.44 of 60.3 x 3.91, 11.29 of 88.9 x 5.49; the valve is 25 kg.
    assert abs(float(first.weight_kg) - (16.07 * 1.997 + 5.44 * 0.34454 + 11.29 * 1.16)) < 0.05
    assert abs(float(second.weight_kg) - (25 + 11.29 * 0.297)) < 0.02
    [only] = socket.spools
    # Half of 33.4 leans at 45°: 1254.56 + 16.7 x 0.7071 = 1266.37 east; 400 + 254.56 + 11.81 north; 200 - 83.3 up.
    assert [f"{side:.2f}" for side in only.size_mm] == ["1266.37", "666.37", "116.70"]
    assert only.left_out == ("1", "3", "5", "10", "12")
    # The coupling's 0.5 kg and pipe: 3.24 kg/m of 33.4 x 4.55, 2.19 of 26.7 x 3.91, 1.62 of 21.3 x 3.73.
    weight = 0.5 + 3.24 * (0.264 + 0.36275 + 0.27225 + 0.191 + 0.1105) + 2.19 * 0.371 + 1.62 * 0.06215
    assert abs(float(only.weight_kg) - weight) < 0.01


def test_a_pipe_of_a_metal_without_a_density_is_left_out_of_the_weight() -> None:
    [spool] = sound("ends butt\nrun north 500\nelbow\nrun up 500\nopen end", "2", "40", metal="").spools
    assert spool.weight_kg == 0 and spool.left_out == ("1", "2", "3")


def test_a_route_that_closes_at_a_tee_it_named() -> None:
    # A square of 400 by 600: the last run comes back into the tee's outlet and may miss by the tolerance alone.
    loop = ("ends butt\nrun north 500\ntee\npoint T\nrun north 400\nelbow\nrun east 600\nelbow\nrun south 400\nelbow\n"
            "run west {}\narrive at T")  # fmt: skip
    shape = sound(loop.format(600), "2", "40")
    # From elbow to the tee's outlet: 600 - 76 - 64 - 6 = 454.
    assert [one.cut_mm for one in shape.pipes] == [433, 254, 442, 242, 454]
    # Beside the tee's own, as it is welded to the tee.
    assert joints(shape)[:3] == lines("""
        butt shop 0 436 0 along 0 1 0 2/40 1 2 S-A - - - 3
        butt shop 64 500 0 along -1 0 0 2/40 9 2 S-A - - - 3
        butt shop 0 564 0 along 0 1 0 2/40 2 3 S-A - - - 5
    """)
    [closure] = shape.closures
    assert (closure.line, closure.name, closure.miss) == (12, "T", Vector(D(0), D(0), D(0)))
    missed = shape_of_text(loop.format(598), Setting("2", "40"))
    assert [str(one) for one in missed.faults] == ["line 12, column 11: The route misses T: it is 2 mm too far east."]
    assert not shape_of_text(loop.format(599), Setting("2", "40")).faults
    assert not shape_of_text(loop.format(598), Setting("2", "40", tolerance_mm=D(2))).faults


def test_a_route_that_begins_with_a_cap_and_bears_outlets_of_both_kinds() -> None:
    # Cap 64; an olet 27 high on a pipe of 114.3 ends 57.15 + 27 = 84.15 from its axis; the reducer's length is given.
    shape = sound(
        "ends butt\ncap\nrun north 500\nolet 1 sch 80 height 27 socket\nbranch up\nrun up 100\nopen end\nend branch\n"
        "olet 1 sch 80 height 27 butt\nbranch down\nrun down 100\nopen end\nend branch\nrun north 500\n"
        "reducer to 2 length 80\nrun north 300\nflange 150\nblind 150", "4", "40")  # fmt: skip
    assert ends(shape) == lines("""
        1 0 64 0 out 0 1 0 4 64 butt None
        3 0 500 57.15 out 0 0 -1 1 57.15 on pipe None
        3 0 500 84.15 out 0 0 1 1 84.15 socket 12.5
        5 0 500 -57.15 out 0 0 1 1 57.15 on pipe None
        5 0 500 -84.15 out 0 0 -1 1 84.15 butt None
        7 0 1000 0 out 0 -1 0 4 0 butt None
        7 0 1080 0 out 0 1 0 2 0 butt None
        9 0 1316 0 out 0 -1 0 2 64 butt None
        9 0 1380 0 out 0 1 0 2 0 bolted None
        10 0 1380 0 out 0 -1 0 2 0 bolted None
    """)
    assert [(one.kind, one.pressure_class, one.length_mm) for one in shape.components] == [
        ("cap", "", 64), ("olet", "3000", 0), ("olet", "", 0), ("reducer-concentric", "", 80),
        ("flange-weld-neck", "150", 64), ("flange-blind", "150", 0)]  # fmt: skip
    assert [(one.kind, at(one.at), one.socket_class) for one in shape.joints] == [
        ("butt", "0 64 0", ""), ("olet", "0 500 57.15", ""), ("socket", "0 500 96.65", "3000"),
        ("olet", "0 500 -57.15", ""), ("butt", "0 500 -84.15", ""), ("butt", "0 1000 0", ""), ("butt", "0 1080 0", ""),
        ("butt", "0 1316 0", "")]  # fmt: skip


def test_a_flange_is_as_long_through_its_hub_whichever_way_it_looks() -> None:
    shape = sound("ends butt\nblind 150\nflange 150\nrun north 500\nflange 150", "4", "40")
    # NPS 4 Class 150 weld neck: 75 + 2 to the raised face.
    assert [(one.kind, one.length_mm) for one in shape.components] == [
        ("flange-blind", 0), ("flange-weld-neck", 77), ("flange-weld-neck", 77)]  # fmt: skip
    assert ends(shape)[:3] == lines("""
        1 0 0 0 out 0 1 0 4 0 bolted None
        2 0 0 0 out 0 -1 0 4 0 bolted None
        2 0 77 0 out 0 1 0 4 77 butt None
    """)


def test_a_reducer_between_sockets_has_the_length_that_is_given() -> None:
    shape = sound("ends socket\nrun north 300\nreducer to 3/4 length 50\nrun north 300\nopen end", "1", "80")
    assert components(shape) == ["2 reducer-concentric 2 0 300 0 1 3/4 80 3000 50 0.0 - - S-A 3"]
    assert [(one.cut_mm, one.insertion_mm) for one in shape.pipes] == [
        (D("298.5"), (None, 11)),
        (D("298.5"), (11, None)),
    ]
