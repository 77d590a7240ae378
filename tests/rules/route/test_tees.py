"""Tees that a route comes into by their outlet: as they are written, and as a model has them."""

from decimal import Decimal as D

import pytest

from rules.route.from_model import routes_of
from rules.route.geometry import shape_of_text
from rules.route.model import JUNCTION
from rules.route.parts import Setting
from tests.rules.route.test_from_model import Parts, at, lines, only

# ASME B16.9: a tee NPS 3 x 2 has its run ends 86 mm and its outlet 76 mm from its centre.
RUN, OUTLET = 86, 76
BY_OUTLET = """\
run north 500
tee DN 80 sch 40 outlet 76
branch west
  run west 400
  open end
end branch
run east 600
open end
"""


def test_a_route_comes_into_the_larger_run_by_the_outlet() -> None:
    shape = shape_of_text(BY_OUTLET, Setting("2", "40"))
    assert not shape.faults
    # Root openings of 3 mm: 500 - 76 - 3, 400 - 86 - 3, 600 - 86 - 3.
    assert [(one.nps, one.cut_mm) for one in shape.pipes] == [("2", D(421)), ("3", D(311)), ("3", D(511))]
    assert [(one.kind, one.nps) for one in shape.joints] == [("butt", "2"), ("butt", "3"), ("butt", "3")]
    (tee,) = shape.components
    assert (tee.nps, tee.second_nps, [one.nps for one in tee.ends]) == ("3", "2", ["2", "3", "3"])


def test_the_run_of_a_tee_may_have_a_schedule_of_its_own() -> None:
    shape = shape_of_text(BY_OUTLET.replace("sch 40", "sch 80"), Setting("2", "40"))
    assert [(one.nps, one.schedule) for one in shape.pipes] == [("2", "40"), ("3", "80"), ("3", "80")]
    smaller = "run north 500\ntee DN 50 sch 80 outlet 76\nbranch up\nrun up 300\nopen end\nend branch\nrun north 500\nopen end"
    shape = shape_of_text(smaller, Setting("3", "40"))
    assert [(one.nps, one.schedule) for one in shape.pipes] == [("3", "40"), ("2", "80"), ("3", "40")]


def test_a_larger_tee_that_is_not_entered_by_its_outlet_is_told() -> None:
    along = BY_OUTLET.replace("run east 600", "run north 600")
    told = [str(one) for one in shape_of_text(along, Setting("2", "40")).faults]
    assert told == [
        "line 2, column 1: The tee of line 2 is larger than the pipe that comes into its run; accepted is a reducer before "
        "it, or a run that turns there."
    ]


def test_after_a_socket_tee_both_ways_are_of_the_run_s_size() -> None:
    # ASME B16.11 Class 3000: a tee NPS 1 has its centre 22.5 mm from the bottom of each socket; sockets with a gap of 1.5.
    text = "run north 500\ntee DN 25\nbranch up\nrun up 300\nopen end\nend branch\nrun down 300\nopen end"
    shape = shape_of_text(text, Setting("3/4", "80"))
    assert [(one.nps, one.cut_mm) for one in shape.pipes] == [("3/4", D(476)), ("1", D(276)), ("1", D(276))]


# --- from a model ---


def branch_first(schedule: str = "40") -> Parts:
    """DN 50 north into the outlet of a tee of DN 80, whose run goes west and east."""
    made = Parts()
    made.pipe(at(0, 0, 0), at(0, 500 - OUTLET, 0), nps="2")
    made.add(JUNCTION, at(0, 500 - OUTLET, 0), at(-RUN, 500, 0), at(RUN, 500, 0))
    made.pipe(at(-RUN, 500, 0), at(-400, 500, 0), schedule=schedule)
    made.pipe(at(RUN, 500, 0), at(600, 500, 0), schedule=schedule)
    return made


@pytest.mark.parametrize("schedule", ["40", "80"])
def test_a_model_s_tee_is_entered_by_its_smaller_outlet(schedule: str) -> None:
    made = branch_first(schedule)
    made._change("segment0", 0, is_in=True)
    assert lines(only(made.connected()))[1:] == [
        "size DN 50 sch 40", "run north 500", f"tee DN 80 sch {schedule} outlet 76", "branch east", "  run east 600",
        "  open end", "end branch", "run west 400", "open end",
    ]  # fmt: skip


def test_two_headers_with_a_smaller_line_between_are_one_route() -> None:
    """Wherever it starts, the route comes into one of the two tees by its outlet."""
    made = Parts()
    for north, ahead in ((0, 1), (2000, -1)):
        made.pipe(at(0, north, 0), at(500 - RUN, north, 0))
        made.add(JUNCTION, at(500 - RUN, north, 0), at(500, north + ahead * OUTLET, 0), at(500 + RUN, north, 0))
        made.pipe(at(500 + RUN, north, 0), at(1500, north, 0))
    made.pipe(at(500, OUTLET, 0), at(500, 2000 - OUTLET, 0), nps="2")
    assert lines(only(made.connected()))[2:] == [
        "run east 500", "tee DN 50 outlet 76", "branch north", "  run north 2000", "  tee DN 80 sch 40 outlet 76",
        "  branch east", "    run east 1000", "    open end", "  end branch", "  run west 500", "  open end", "end branch",
        "run east 1000", "open end",
    ]  # fmt: skip


def test_a_run_that_changes_its_size_in_the_tee_is_listed() -> None:
    made = branch_first()
    made.parts[2] = made.pipe_of("segment2", nps="4")
    found = routes_of(made.connected(), "SI")
    assert [one.part for one in found.unread] == ["junction1"]
    assert "Its run goes from DN 100 to DN 80" in found.unread[0].why


def test_an_outlet_larger_than_the_run_is_listed() -> None:
    made = branch_first()
    made.parts[0] = made.pipe_of("segment0", nps="4")
    assert "Its outlet DN 100 is larger than its run DN 80" in routes_of(made.connected(), "SI").unread[0].why


def test_pipes_of_two_sizes_that_meet_without_a_reducer_are_listed() -> None:
    made = Parts()
    made.pipe(at(0, 0, 0), at(1000, 0, 0))
    made.pipe(at(1000, 0, 0), at(3000, 0, 0), nps="2")
    found = routes_of(made.connected(), "SI")
    assert [(one.part, one.why) for one in found.unread] == [
        ("segment1", "It is DN 50 and is joined to DN 80 without a reducer.")
    ]
    assert lines(found.routes[0].text)[1:] == ["size DN 80 sch 40", "run east 1000", "continue on segment1"]
