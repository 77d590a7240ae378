"""Socket-welding caps of a model: no table here has their length, so that the model must give it."""

from decimal import Decimal as D

import pytest

from rules.route.from_model import routes_of
from rules.route.geometry import shape_of_text
from rules.route.model import OBSTRUCTION
from rules.route.parts import Setting
from rules.route.vector import Vector
from tests.rules.route.test_from_model import Parts, at, lines, only

# ASME B16.11 Class 3000, NPS 1: a socket is 12.5 mm deep (the least).
DEPTH = 12.5
LONG = 35


def capped(*reach: Vector, port: float = 300, length: float | None = None) -> Parts:
    """A pipe of DN 25 going east into a cap whose port is where the pipe ends."""
    made = Parts()
    made.pipe(at(0, 0, 0), at(port, 0, 0), nps="1", schedule="80")
    key = made.add(OBSTRUCTION, at(port, 0, 0))
    said = {"reach": reach, "length_mm": None if length is None else D(str(length))}
    made.parts[1] = made.pipe_of(key, **said)  # type: ignore[arg-type]
    return made


def body(mouth: float) -> tuple[Vector, ...]:
    """The corners of a cap's body along the pipe."""
    return tuple(at(east, north, 20) for east in (mouth, mouth + LONG) for north in (-20, 20))


@pytest.mark.parametrize("inside", [DEPTH, 0, 11])
def test_a_socket_cap_ends_where_its_body_does(inside: float) -> None:
    """The port may be at the bottom of the socket, at its mouth, or anywhere: the body's far face is what counts."""
    text = only(capped(*body(300 - inside)).connected())
    face = 300 - inside + LONG
    assert lines(text)[2:] == [f"run east {face:g}", "cap length 35"]
    # From the far face 35 - 12.5 to the bottom of the socket, and the gap of 1.5.
    assert shape_of_text(text, Setting("1", "80")).pipes[0].cut_mm == D(str(face)) - D("22.5") - D("1.5")


def test_a_route_may_start_at_a_socket_cap() -> None:
    made = capped(*body(287.5))
    made.parts.reverse()
    made._change("segment0", 0, is_in=False)
    text = lines(only(made.connected()))
    assert text[2:] in (["run east 322.5", "cap length 35"], ["cap length 35", "run west 322.5", "open end"])


def test_a_length_of_its_properties_counts_from_the_mouth() -> None:
    found = routes_of(capped(length=LONG).connected(), "SI")
    # The pipe ends at the bottom of the socket: 300 + 35 - 12.5.
    assert lines(found.routes[0].text)[2:] == ["run east 322.5", "cap length 35"]
    assert any("as its property Length says" in one for one in found.notices)


def test_the_body_goes_before_the_property() -> None:
    found = routes_of(capped(*body(287.5), length=50).connected(), "SI")
    assert lines(found.routes[0].text)[3] == "cap length 35" and not found.notices


@pytest.mark.parametrize(
    ("reach", "length"),
    [
        ((), None),
        ((), 12),  # no longer than the socket
        ((at(290, 0, 0), at(302, 0, 0)), None),
        ((at(200, 0, 0), at(299, 0, 0)), None),  # it doesn't lie beyond its port
    ],
)
def test_a_socket_cap_of_which_the_model_gives_no_length_is_listed(
    reach: tuple[Vector, ...], length: float | None
) -> None:
    found = routes_of(capped(*reach, length=length).connected(), "SI")
    assert [one.part for one in found.unread] == ["obstruction1"]
    assert found.unread[0].why == (
        "No table here has the length of a socket-welding cap, and of this the model gives neither a body longer than its "
        "socket (12.5 mm) that can be measured, nor a property Length."
    )
    assert lines(found.routes[0].text)[2:] == ["run east 300", "continue on obstruction1"]


def test_a_us_job_has_its_length_in_inches() -> None:
    reach = tuple(at(east, 0, 20) for east in (292.1, 292.1 + 34.925))  # 11-1/2 in; 1-3/8 in long
    assert lines(routes_of(capped(*reach).connected(), "US").routes[0].text)[3] == 'cap length 1-3/8"'


def test_a_butt_welding_cap_has_its_length_from_the_table() -> None:
    """ASME B16.9: a cap NPS 3 is 51 mm long; what the model draws doesn't count."""
    made = Parts()
    made.pipe(at(0, 0, 0), at(936, 0, 0))
    key = made.add(OBSTRUCTION, at(936, 0, 0))
    made.parts[1] = made.pipe_of(key, reach=(at(936, 0, 0), at(980, 0, 0)))  # type: ignore[arg-type]
    assert lines(only(made.connected()))[2:] == ["run east 987", "cap"]
