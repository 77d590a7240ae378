"""Fittings welded straight against each other, worked on paper: where their one weld is, and what lies between them."""

from rules.route.geometry import shape_of_text
from rules.route.parts import Setting
from rules.route.shape import RouteShape


def laid(text: str, nps: str = "4") -> RouteShape:
    shape = shape_of_text(f"ends butt\n{text}", Setting(nps, "40"))
    assert not shape.faults
    return shape


def welds(shape: RouteShape) -> list[tuple[str, str, tuple[float, float, float], str]]:
    return [
        (one.kind, f"{one.piece_a}-{one.piece_b}", one.at.floats(), f"{one.location} {one.nps}") for one in shape.joints
    ]


def test_an_elbow_against_a_reducer() -> None:
    # Reducer NPS 4 x 3 102 long from 500 to 602; the elbow's centre 0 + 114 + 3 further, at 719. One weld at 602.
    shape = laid("run north 500\nreducer to 3\nrun north fitting to fitting\nelbow\nrun up 600\nflange 150")
    assert [one.at.floats() for one in shape.nodes] == [
        (0, 0, 0), (0, 500, 0), (0, 602, 0), (0, 719, 0), (0, 719, 600)]  # fmt: skip
    assert welds(shape) == [
        ("butt", "1-2", (0, 500, 0), "shop 4"), ("butt", "2-3", (0, 602, 0), "shop 3"),
        ("butt", "3-4", (0, 719, 114), "shop 3"), ("butt", "4-5", (0, 719, 530), "shop 3")]  # fmt: skip
    assert [one.axis.floats() for one in shape.joints] == [(0, 1, 0), (0, 1, 0), (0, 0, 1), (0, 0, 1)]
    assert [one.text for one in shape.dimensions] == ["500", "102", "117", "600"]


def test_two_elbows_against_each_other_in_the_field() -> None:
    # NPS 4 long radius elbows: 152 + 152 + 3 = 307 apart; the weld 152 above the first.
    shape = laid("run north 500\nelbow\nrun up fitting to fitting\nfield weld\nelbow\nrun north 500\nopen end")
    assert welds(shape)[1] == ("butt", "2-3", (0, 500, 152), "field 4")
    assert shape.nodes[2].at.floats() == (0, 500, 307)
    assert [one.spool for one in shape.components] == ["A", "B"]


def test_a_flange_against_an_elbow_has_no_run_between_them() -> None:
    # Face to 75 + 2, then 3, then the elbow's 152: its centre stands 232 from the face.
    shape = laid("flange 150\nrun north fitting to fitting\nelbow\nrun up 500\nopen end")
    assert shape.nodes[1].at.floats() == (0, 232, 0)
    assert welds(shape)[0] == ("butt", "1-2", (0, 77, 0), "shop 4")


def test_a_valve_is_bolted_between_its_flanges_without_a_weld() -> None:
    shape = laid(
        "run north 500\nflange 150\ngasket 3\nvalve V-1 length 292 bolted\ngasket 3\nflange 150\nrun north 500\nopen end"
    )
    assert [one.kind for one in shape.joints] == ["butt", "butt"]
    assert [one.at.floats()[1] for one in shape.nodes] == [0, 500, 503, 795, 798, 1298]
    assert [(one.kind, one.spool) for one in shape.components] == [
        ("flange-weld-neck", "A"), ("gasket", ""), ("valve", ""), ("gasket", ""), ("flange-weld-neck", "B")]  # fmt: skip


def test_a_welded_support_is_on_the_pipe_that_it_stands_on() -> None:
    text = "run north 500\nfield weld\nrun north 200\nsupport anchor welded\nrun north 300\nopen end"
    shape = laid(text)
    assert welds(shape) == [("butt", "1-2", (0, 500, 0), "field 4"), ("attachment", "2-", (0, 700, 0), "shop 4")]
    assert [(one.spool, one.spool_b, one.line) for one in shape.joints] == [("A", "B", 3), ("B", "", 4)]


def test_a_field_fit_length_is_left_on_the_pipe_before_or_without_one_on_that_after() -> None:
    before = laid("run north 500\nfield fit weld allowance 75\nrun north 500\nopen end")
    assert [(one.cut_mm, one.allowance_mm) for one in before.pipes] == [(498.5 + 75, 75), (498.5, 0)]
    # After a fitting there is no pipe before the weld: 500 - 77 - 3 + 100.
    after = laid("flange 150\nfield fit weld\nrun north 500\nopen end")
    assert [(one.cut_mm, one.allowance_mm) for one in after.pipes] == [(520, 100)]
    assert [one.location for one in after.joints] == ["field-fit"]
