"""What each clause of a step is read as: sizes, lengths, directions, weights and notes, and where each stands."""

from decimal import Decimal as D

import pytest

from rules.route.geometry import shape_of_text
from rules.route.grammar import COLUMNS, ITEMS
from rules.route.parse import MOST_FAULTS, MOST_LINES, StepRefused, direction_of, parse_route, read_step
from rules.route.parts import Setting, Style, size_of
from rules.route.step import Move, Place, Step, placed, route_text, written
from rules.units import SI, US


def read(line: str, units: str = SI) -> Step:
    step = read_step(line, 7, units)
    assert step is not None
    return step


def test_every_clause_of_a_reducer_with_its_column() -> None:
    step = read("  reducer eccentric flat down to 1-1/2 sch 80 length 76 weight 1.2 kg ; as bought")
    assert (step.item, step.line, step.kind, step.nps, step.schedule, step.length_mm, step.weight_kg, step.note) == (
        "reducer", 7, "eccentric", "1-1/2", "80", 76, D("1.2"), "as bought")  # fmt: skip
    assert step.along == (Move("down"),)
    assert step.texts == {"kind": "eccentric", "along": "down", "NPS": "1-1/2", "schedule": "80", "length": "76",
                          "weight": "1.2 kg"}  # fmt: skip
    assert step.columns == {"": 3, "kind": 11, "along": 26, "NPS": 34, "schedule": 44, "length": 54, "weight": 64}


def test_words_go_on_to_the_next_clause() -> None:
    step = read("valve V 101 A length 203 bolted class 150 weight 30 lb")
    assert (step.name, step.length_mm, step.kind, step.rating) == ("V 101 A", 203, "bolted", "150")
    assert step.weight_kg == 30 * D("0.45359237")  # the pound, by definition
    support = read("support pipe shoe called PS 1 welded")
    assert (support.kind, support.name, support.is_welded) == ("pipe shoe", "PS 1", True)
    assert read("support").is_welded is False and read("support welded").kind == ""


@pytest.mark.parametrize(
    ("line", "units", "along"),
    [
        ("run n 500", SI, (Move("north", D(500)),)),
        ("run North 1' 6\"", SI, (Move("north", D("457.2")),)),
        ("RUN NE 10", US, (Move("northeast", D(254)),)),
        ("run north-east 10", SI, (Move("northeast", D(10)),)),
        ("run skew e 1 n 2 u 3", SI, (Move("east", D(1)), Move("north", D(2)), Move("up", D(3)))),
        ("run sw Fitting To Fitting", SI, (Move("southwest"),)),
        ("offset 45 d 30 w 40", SI, (Move("down", D(30)), Move("west", D(40)))),
    ],
)
def test_directions_and_lengths(line: str, units: str, along: tuple[Move, ...]) -> None:
    assert read(line, units).along == along


@pytest.mark.parametrize(
    ("line", "place"),
    [
        ("start at E 10 N 20 EL 30", Place(D(10), D(20), D(30))),
        ("start at W 10 S 20 EL -30", Place(D(-10), D(-20), D(-30))),
        ("start at W -10 S −20 el +30", Place(D(10), D(20), D(30))),
        ("start at EL 1 m", Place(up=D(1000))),
        ("arrive at N 5", Place(north=D(5))),
    ],
)
def test_places(line: str, place: Place) -> None:
    step = read(line)
    assert step.place == place and step.name == ""


def test_a_point_may_be_called_as_an_axis_is() -> None:
    step = read("arrive at E")
    assert (step.name, step.place) == ("E", None)
    assert read("point tie in 3").name == "tie in 3"


@pytest.mark.parametrize("line", ["elbow 90", "elbow 0.5"])
def test_angles_over_nothing_up_to_a_right_angle(line: str) -> None:
    assert read(line).degrees == D(line.split()[1])


def test_blank_lines_and_notes() -> None:
    assert read_step("   ", 1, SI) is None and read_step(" ; ", 1, SI) is None
    note = read(" ; see sheet 2 ")
    assert (note.item, note.note, note.line) == ("", "see sheet 2", 7)
    assert read("open end ; a ; b").note == "a ; b"


def test_as_many_lines_and_signs_as_are_accepted_and_one_more() -> None:
    steps, faults = parse_route("support\n" * MOST_LINES, SI)
    assert (len(steps), faults) == (1000, ())
    steps, [fault] = parse_route("support\n" * (MOST_LINES + 1), SI)
    assert (steps, str(fault)) == (
        (), "line 1001, column 1: The route has 1001 lines; accepted are at most 1000: continue it on another sheet.")  # fmt: skip
    assert read("support ;" + "x" * 291).note == "x" * 291
    with pytest.raises(StepRefused) as refused:
        read("support ;" + "x" * 292)
    assert (refused.value.column, str(refused.value)) == (
        300, "The line has 301 characters; accepted are at most 300.")  # fmt: skip
    assert len(parse_route("rum\n" * 60, SI)[1]) == MOST_FAULTS == 50


def test_as_many_joints_on_a_sheet_as_are_accepted_and_one_more() -> None:
    run = "run north 1000\n"
    most = shape_of_text("ends butt\n" + f"{run}shop weld\n" * 400 + f"{run}open end", Setting("2", "40"))
    assert len(most.joints) == 400 and not most.faults
    more = shape_of_text("ends butt\n" + f"{run}shop weld\n" * 401 + f"{run}open end", Setting("2", "40"))
    assert [str(one) for one in more.faults] == [
        "line 805, column 1: The sheet has 401 joints; accepted are at most 400: continue it on another."
    ]
    assert more.nodes and not more.joints


def test_all_faults_in_the_order_of_the_text_and_each_once() -> None:
    _, faults = parse_route("rum 1\nrun north 5\nelbow 91\n", SI)
    assert [(one.line, one.column) for one in faults] == [(1, 1), (3, 7)]
    shape = shape_of_text("run north 500\ntee\nrun up 5\nopen end", Setting("2", "40"))
    assert [(one.line, one.column) for one in shape.faults] == sorted((one.line, one.column) for one in shape.faults)
    assert len(set(shape.faults)) == len(shape.faults)


@pytest.mark.parametrize("word", ["n", "N", "north", "NORTH"])
def test_a_direction_by_its_letter_or_word(word: str) -> None:
    assert direction_of(word) == "north"


def test_a_step_written_again_reads_the_same() -> None:
    for line in (
        "size 1-1/2 sch 80", "ends socket class 6000", "offset 30 up 300 east 400", "olet 1 sch 80 height 27 butt",
        "field fit weld allowance 75", "support shoe called PS-1 welded", "arrive at E 1 N 2 EL 3", "end branch",
    ):  # fmt: skip
        step = read(line)
        assert written(step.item, step.texts) == line
        assert placed(step.item, step.texts) == (line, step.columns)
    assert written("elbow", {"angle": "90"}, "as built") == "elbow 90 ; as built"
    assert written("", {}, "a note") == "; a note"
    assert route_text([]) == ""


def test_branches_are_written_indented() -> None:
    text = "run north 500\ntee\nbranch up\n  run up 300\n  open end\nend branch\nrun north 500\nopen end\n"
    assert route_text(parse_route(text, SI)[0]) == text


def test_fittings_are_socket_welded_to_nps_1_1_2_where_the_route_does_not_say() -> None:
    assert [Style(nps, "80").joined for nps in ("1/2", "1-1/2", "2")] == ["socket", "socket", "butt"]
    assert Style("2", "80", "socket").joined == "socket" and Style("1", "80", "butt").joined == "butt"
    assert [size_of(nps) for nps in ("1/8", "1-1/4", "2-1/2", "24")] == [D("0.125"), D("1.25"), D("2.5"), D(24)]


def test_what_a_route_takes_from_the_job() -> None:
    us, si = Setting("2", "40", units=US), Setting("2", "40")
    assert (us.opening_mm, us.allowance_mm) == (D("3.175"), D("101.6"))  # 1/8 in and 4 in
    assert (si.opening_mm, si.allowance_mm, si.socket_gap_mm, si.tolerance_mm) == (3, 100, D("1.5"), 1)


def test_every_clause_has_its_column_in_the_workbook() -> None:
    assert COLUMNS == (
        "along",
        "length",
        "NPS",
        "schedule",
        "class",
        "angle",
        "kind",
        "place",
        "name",
        "weld",
        "weight",
    )
    assert {clause.column for item in ITEMS.values() for clause in item.clauses} == set(COLUMNS)


@pytest.mark.parametrize("units", ["US", "SI"])
@pytest.mark.parametrize("name", ITEMS)
def test_the_example_of_a_step_can_be_read(name: str, units: str) -> None:
    example = ITEMS[name].example(units)
    (step,), faults = parse_route(example, units)
    assert not faults and step.item == name
    said = {clause.column for clause in ITEMS[name].clauses if clause.needed}
    assert said <= step.texts.keys(), example


@pytest.mark.parametrize(
    ("typed", "plain"),
    [
        ("run north 2' 3-1/2''", "run north 2' 3-1/2\""),
        ("run north 2´ 3-1/2´´", "run north 2' 3-1/2\""),
        ("run north 2\u2032 3\u00bd\u2033", "run north 2' 3-1/2\""),
        ("run north \uff11\uff12\uff10\uff10 \uff4d\uff4d", "run north 1200 mm"),
        ("\uff52\uff55\uff4e\u3000north 1200\u200b", "run north 1200"),
        ("run\tnorth\t1200\u00a0mm\t\t", "run north 1200 mm"),
        ("elbow 90 deg short", "elbow 90 short"),
        ("elbow 45 °", "elbow 45"),
    ],
)
def test_one_thing_however_a_keyboard_or_a_spreadsheet_writes_it(typed: str, plain: str) -> None:
    for units in ("US", "SI"):
        (read,), faults = parse_route(typed, units)
        (wanted,), _ = parse_route(plain, units)
        assert not faults and read.item == wanted.item
        assert (read.along, read.degrees, read.kind) == (wanted.along, wanted.degrees, wanted.kind)


def test_the_column_of_a_fault_is_the_one_that_was_typed() -> None:
    _, (fault,) = parse_route("\uff52\uff55\uff4e\u3000north \uff12kg", "SI")
    assert (fault.line, fault.column) == (1, 11)
