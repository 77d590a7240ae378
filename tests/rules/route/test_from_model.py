"""Routes of a model's parts: written by hand part by part, with nothing but their ports."""

from dataclasses import replace
from decimal import Decimal as D

import pytest

from rules.route.from_model import Reading, routes_of
from rules.route.geometry import shape_of_text
from rules.route.model import (
    BEND,
    CONNECTOR,
    EQUIPMENT,
    FLANGED,
    JUNCTION,
    OBSTRUCTION,
    SEGMENT,
    TRANSITION,
    VALVE,
    WELDED,
    Part,
    Port,
    schedule_for,
    size_for,
)
from rules.route.parts import Setting
from rules.route.vector import Vector

# ASME B16.9: centre-to-end of a long-radius 90 elbow NPS 3 and 2, of a tee NPS 3.
A_3, A_2, C_3 = 114, 76, 86


def at(east: float, north: float, up: float) -> Vector:
    return Vector(*(D(str(one)) for one in (east, north, up)))


class Parts:
    """Parts under way; ports are connected by their places."""

    def __init__(self) -> None:
        self.parts: list[Part] = []

    def add(
        self, kind: str, *ports: Vector, joined: str = WELDED, nps: str = "", line: str = "L-1", **said: str
    ) -> str:
        key = f"{kind or 'thing'}{len(self.parts)}"
        schedule = said.pop("schedule", "40" if kind == SEGMENT else "")
        nps = nps or ("3" if kind == SEGMENT else "")
        own = tuple(Port(f"{key}.{place}", one, joined=joined) for place, one in enumerate(ports))
        name = said.pop("name", key)
        self.parts.append(Part(key, kind, name, key, own, line, nps=nps, schedule=schedule, **said))
        return key

    def pipe(self, *ports: Vector, **said: str) -> str:
        return self.add(SEGMENT, *ports, **said)

    def pipe_of(self, key: str, **values: str) -> Part:
        """The part of a key, changed."""
        return replace(next(one for one in self.parts if one.key == key), **values)

    def joined(self, key: str, place: int, joined: str) -> None:
        """Say how one port is joined."""
        self._change(key, place, joined=joined)

    def _change(self, key: str, place: int, **values: object) -> None:
        index = next(i for i, one in enumerate(self.parts) if one.key == key)
        ports = list(self.parts[index].ports)
        ports[place] = replace(ports[place], **values)
        self.parts[index] = replace(self.parts[index], ports=tuple(ports))

    def connected(self, *apart: str) -> list[Part]:
        """The parts with ports at one place connected, but for those of the parts named."""
        ports = [(part.key, place, port.at) for part in self.parts for place, port in enumerate(part.ports)]
        for index, (key, place, where) in enumerate(ports):
            for other, far, there in ports[index + 1 :]:
                if where == there and key != other and not {key, other} & set(apart):
                    self._change(key, place, to=f"{other}.{far}")
                    self._change(other, far, to=f"{key}.{place}")
        return self.parts


def read(parts: list[Part], units: str = "SI") -> Reading:
    return routes_of(parts, units)


def only(parts: list[Part]) -> str:
    """The text of the one route that all parts make, without fault."""
    found = read(parts)
    assert not found.unread and len(found.routes) == 1, (found.unread, found.routes)
    assert not found.routes[0].faults, (found.routes[0].faults, found.routes[0].text)
    return found.routes[0].text


def lines(text: str) -> list[str]:
    return text.splitlines()


def corner() -> Parts:
    """North 1000 to an elbow, then up 500."""
    made = Parts()
    made.pipe(at(0, 0, 0), at(0, 1000 - A_3, 0))
    made.add(BEND, at(0, 1000 - A_3, 0), at(0, 1000, A_3))
    made.pipe(at(0, 1000, A_3), at(0, 1000, 500))
    return made


def test_a_bend_has_its_centre_where_the_axes_meet() -> None:
    assert lines(only(corner().connected())) == [
        "start at E 0 N 0 EL 0", "size DN 80 sch 40", "run north 1000", "elbow", "run up 500", "open end",
    ]  # fmt: skip


def test_the_pipe_is_cut_to_the_model_s_length_less_the_openings() -> None:
    shape = shape_of_text(only(corner().connected()), Setting("3", "40"))
    # One butt weld each: 3 mm root opening (common practice, no source), beyond the elbow's 114 mm (ASME B16.9).
    assert [one.cut_mm for one in shape.pipes] == [1000 - A_3 - 3, 500 - A_3 - 3]
    assert [one.kind for one in shape.joints] == ["butt", "butt"]


def test_flow_into_an_open_end_makes_it_the_start() -> None:
    made = corner()
    made._change("segment2", 1, is_in=True)
    assert lines(only(made.connected()))[0] == "start at E 0 N 1000 EL 500"


def test_a_tee_s_outlet_is_the_way_across_and_becomes_a_branch() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000 - C_3, 0, 0))
    made.add(JUNCTION, at(1000 - C_3, 0, 0), at(1000, C_3, 0), at(1000 + C_3, 0, 0))
    made.pipe(at(1000, C_3, 0), at(1000, 700, 0))
    made.pipe(at(1000 + C_3, 0, 0), at(3000, 0, 0))
    assert lines(only(made.connected()))[2:] == [
        "run east 1000", "tee", "branch north", "  run north 700", "  open end", "end branch", "run east 2000", "open end",
    ]  # fmt: skip


def test_entered_by_its_outlet_a_tee_branches_both_ways() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000 - C_3, 0, 0))
    made.add(JUNCTION, at(1000, C_3, 0), at(1000 - C_3, 0, 0), at(1000, -C_3, 0))
    made.pipe(at(1000, C_3, 0), at(1000, 700, 0))
    made.pipe(at(1000, -C_3, 0), at(1000, -900, 0))
    said = lines(only(made.connected()))
    assert said[2:] == [
        "run east 1000", "tee", "branch south", "  run south 900", "  open end", "end branch", "run north 700", "open end",
    ]  # fmt: skip


def test_a_ring_arrives_at_the_tee_it_left() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000 - C_3, 0, 0))
    made.add(JUNCTION, at(1000 - C_3, 0, 0), at(1000 + C_3, 0, 0), at(1000, 0, C_3))
    corners = [(3000, 0), (3000, 2000), (1000, 2000)]
    places = [at(1000 + C_3, 0, 0)]
    for (east, up), (before, after) in zip(corners, [("e", "u"), ("u", "w"), ("w", "d")], strict=True):
        into = {"e": (-A_3, 0), "u": (0, -A_3), "w": (A_3, 0), "d": (0, A_3)}[before]
        out = {"u": (0, A_3), "w": (-A_3, 0), "d": (0, -A_3)}[after]
        start, end = at(east + into[0], 0, up + into[1]), at(east + out[0], 0, up + out[1])
        made.pipe(places[-1], start)
        made.add(BEND, start, end)
        places.append(end)
    made.pipe(places[-1], at(1000, 0, C_3))
    text = only(made.connected())
    assert lines(text)[2:] == [
        "run east 1000", "tee", "point T1", "run east 2000", "elbow", "run up 2000", "elbow", "run west 2000", "elbow",
        "run down 2000", "arrive at T1",
    ]  # fmt: skip
    # A ring of four pipes and three elbows, with the tee's three ends and the way in: every weld once.
    assert len(shape_of_text(text, Setting("3", "40")).joints) == 9


def test_a_reducer_out_of_line_has_its_flat_side_where_it_shifts_to() -> None:
    shift = (D("88.9") - D("60.3")) / 2  # ASME B36.10M: outside diameters of NPS 3 and NPS 2
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    made.add(TRANSITION, at(1000, 0, 0), at(1089, 0, -float(shift)))
    made.pipe(at(1089, 0, -float(shift)), at(2000, 0, -float(shift)), nps="2")
    said = lines(only(made.connected()))
    assert said[3] == "reducer eccentric flat down to DN 50 sch 40 length 89"
    back = list(reversed(made.parts))
    back[0] = replace(back[0], ports=(back[0].ports[0], replace(back[0].ports[1], is_in=True)))
    assert lines(only(back))[3] == "reducer eccentric flat down to DN 80 sch 40 length 89"


def flanged_valve(gasket: float = 3) -> Parts:
    made = Parts()
    made.pipe(at(0, 0, 0), at(930, 0, 0))
    made.add(CONNECTOR, at(930, 0, 0), at(1000, 0, 0), words="weld neck flange CL150")
    made.joined("connector1", 1, FLANGED)
    made.add(VALVE, at(1000 + gasket, 0, 0), at(1203 + gasket, 0, 0), joined=FLANGED, name="HV-4; butt")
    made.add(CONNECTOR, at(1203 + 2 * gasket, 0, 0), at(1273 + 2 * gasket, 0, 0), words="Weld Neck 150#")
    made.joined("connector3", 0, FLANGED)
    made.pipe(at(1273 + 2 * gasket, 0, 0), at(2000, 0, 0))
    made._change("connector1", 1, to="valve2.0")
    made._change("valve2", 0, to="connector1.1")
    made._change("connector3", 0, to="valve2.1")
    made._change("valve2", 1, to="connector3.0")
    return made


def test_the_room_between_bolted_faces_is_a_gasket() -> None:
    assert lines(only(flanged_valve().connected()))[2:] == [
        "run east 1000", "flange 150 weld-neck", "gasket 3", "valve HV-4 length 203 bolted", "gasket 3",
        "flange 150 weld-neck", "run east 791", "open end",
    ]  # fmt: skip
    assert "gasket" not in only(flanged_valve(0).connected())


def test_two_systems_part_at_a_bolted_joint_and_lose_no_weld() -> None:
    made = flanged_valve()
    for index in (3, 4):
        made.parts[index] = replace(made.parts[index], line="L-2")
    found = read(made.connected())
    assert [(one.line, one.joints) for one in found.routes] == [("L-1", 1), ("L-2", 1)]


def test_a_flange_s_class_must_be_said() -> None:
    made = flanged_valve()
    made.parts[1] = replace(made.parts[1], words="flange")
    found = read(made.connected())
    assert [one.part for one in found.unread] == ["connector1"]
    assert "whose class the model doesn't say" in found.unread[0].why
    # What lies on its two sides is read, up to where it stands.
    assert [lines(one.text)[-1] for one in found.routes] == ["continue on connector1", "open end"]


def test_fittings_welded_to_each_other_have_no_pipe_between() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(0, 1000 - A_3, 0))
    made.add(BEND, at(0, 1000 - A_3, 0), at(0, 1000, A_3))
    made.add(BEND, at(0, 1000, A_3), at(A_3, 1000, 2 * A_3))
    made.pipe(at(A_3, 1000, 2 * A_3), at(2000, 1000, 2 * A_3))
    found = read(made.connected())
    assert lines(found.routes[0].text)[2:] == [
        "run north 1000", "elbow", "run up fitting to fitting", "elbow", "run east 2000", "open end",
    ]  # fmt: skip
    assert any("root opening is added" in one for one in found.notices)


def test_a_short_radius_elbow_is_told_from_a_long_one() -> None:
    short = 76  # ASME B16.9: short-radius 90 elbow NPS 3
    made = Parts()
    made.pipe(at(0, 0, 0), at(0, 1000 - short, 0))
    made.add(BEND, at(0, 1000 - short, 0), at(0, 1000, short))
    made.pipe(at(0, 1000, short), at(0, 1000, 500))
    assert "elbow short" in lines(only(made.connected()))


def test_a_bend_of_a_larger_radius_is_no_elbow() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(0, 620, 0))
    made.add(BEND, at(0, 620, 0), at(0, 1000, 380))
    made.pipe(at(0, 1000, 380), at(0, 1000, 900))
    found = read(made.connected())
    assert [one.part for one in found.unread] == ["bend1"]
    assert "takes 380.0 mm" in found.unread[0].why and "114.0 mm" in found.unread[0].why


def test_what_stands_on_a_pipe_s_side() -> None:
    half = 44.45
    made = Parts()
    made.pipe(at(0, 0, 0), at(2000, 0, 0), at(500, 0, half), at(1200, half, 0))
    made.pipe(at(500, 0, half), at(500, 0, 600), nps="2")
    made.add(CONNECTOR, at(1200, half, 0), at(1200, half + 27, 0), words="branch olet")
    made.pipe(at(1200, half + 27, 0), at(1200, 400, 0), nps="1", schedule="80")
    assert lines(only(made.connected()))[2:] == [
        "run east 500", "stub DN 50 sch 40", "branch up", "  run up 600", "  open end", "end branch",
        "run east 700", "olet DN 25 sch 80 height 27", "branch north", "  size DN 25 sch 80", "  run north 400", "  open end",
        "end branch", "run east 800", "open end",
    ]  # fmt: skip


def test_a_cap_reaches_to_its_far_face() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(936, 0, 0))
    made.add(OBSTRUCTION, at(936, 0, 0))
    # ASME B16.9: a cap NPS 3 is 51 mm long.
    assert lines(only(made.connected()))[2:] == ["run east 987", "cap"]


def test_two_pipes_meet_in_a_shop_weld_with_the_new_wall_behind_it() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    made.pipe(at(1000, 0, 0), at(3000, 0, 0), schedule="80")
    assert lines(only(made.connected()))[2:] == [
        "run east 1000",
        "shop weld",
        "size DN 80 sch 80",
        "run east 2000",
        "open end",
    ]


def test_equipment_is_what_a_route_comes_from_or_goes_on_to() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    made.add(EQUIPMENT, at(1000, 0, 0), name="Pump P-1")
    assert lines(only(made.connected()))[2:] in (
        ["continued from Pump P-1", "run west 1000", "open end"],
        ["run east 1000", "continue on Pump P-1"],
    )


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"kind": ""}, "say what it is"),
        ({"ports": ()}, "no ports"),
        ({"nps": ""}, "diameter is not said"),
        ({"why": "A port of it has no place."}, "no place"),
    ],
)
def test_a_part_of_which_too_little_is_said_is_listed(change: dict, why: str) -> None:
    made = corner().connected()
    made[2] = replace(made[2], **change)
    found = read(made)
    # The elbow beside it can't be left open either.
    assert [one.part for one in found.unread] == ["segment2", "bend1"]
    assert why in found.unread[0].why and "can't leave it open" in found.unread[1].why
    assert lines(found.routes[0].text)[-1] == "continue on bend1"


@pytest.mark.parametrize(("joined", "ok"), [("", True), (WELDED, True), ("threaded", False), (FLANGED, False)])
def test_how_an_end_is_joined_decides(joined: str, ok: bool) -> None:
    made = corner()
    made.joined("bend1", 0, joined)
    found = read(made.connected())
    assert (not found.unread) is ok
    assert ("The model does not say how every end is joined; such ends are read as welded." in found.notices) is (
        not joined
    )


def test_parts_that_do_not_lie_in_line_are_not_bent_to_fit() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    made.pipe(at(1000, 0, 0), at(1000, 700, 0))
    found = read(made.connected())
    assert [one.part for one in found.unread] == ["segment0"]
    assert "the line turns by 90.0°" in found.unread[0].why


def test_noise_of_an_export_is_taken_off_and_what_is_meant_kept() -> None:
    made = Parts()
    made.pipe(at(0.0004, 0, 0), at(1199.9996, 0.0003, 0))
    assert lines(only(made.parts))[2] == "run east 1200"
    made = Parts()
    made.pipe(at(0, 0, 0), at(353.553, 353.553, 0))
    assert lines(only(made.parts))[2] == "run east 353.553 north 353.553"


def test_a_us_job_has_feet_and_inches_where_they_are_whole_sixteenths() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(838.2, 0, 0), at(838.2, 0, 0))
    made.parts[0] = replace(made.parts[0], ports=made.parts[0].ports[:2])
    assert lines(read(made.parts, "US").routes[0].text)[2] == "run east 2' 9\""
    made.parts[0] = replace(
        made.parts[0], ports=(made.parts[0].ports[0], replace(made.parts[0].ports[1], at=at(850, 0, 0)))
    )
    assert lines(read(made.parts, "US").routes[0].text)[2] == "run east 850 mm"


@pytest.mark.parametrize(
    ("nominal", "outside", "nps"),
    [
        ("50", None, "2"),
        ("50.8", None, "2"),
        (None, "60.3", "2"),
        ("25", None, "1"),
        ("38.1", None, "1-1/2"),
        ("40", None, "1-1/2"),
        ("51", None, "2"),
        ("52", None, ""),
        (None, "61.5", ""),
        (None, None, ""),
    ],
)
def test_a_size_is_a_dn_an_inch_figure_or_an_outside_diameter(
    nominal: str | None, outside: str | None, nps: str
) -> None:
    """ASME B36.10M: DN and outside diameters of NPS 1, 1-1/2 and 2."""
    assert size_for(D(nominal) if nominal else None, D(outside) if outside else None) == nps


def test_a_wall_names_its_schedule() -> None:
    """ASME B36.10M: NPS 2 Schedule 40 has 3.91 mm, 80 has 5.54 mm; 0.154 in and 0.218 in."""
    assert schedule_for("2", D("3.91")) == schedule_for("2", D("3.9116")) == "40"
    assert schedule_for("2", D("5.54")) == "80"
    assert schedule_for("2", D("4.3")) == ""
