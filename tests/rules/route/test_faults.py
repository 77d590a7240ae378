"""What is wrong with a route is told in a sentence, with its line and column, and what is accepted."""

import pytest

from rules.route.geometry import shape_of_text
from rules.route.parts import Setting

FAULTS = [
    ("run north 0", 1, 11, "The run north has no length; accepted are lengths over 0."),
    ("run nort 500", 1, 5, 'There is no direction "nort"; accepted are north'),
    ("rum north 500", 1, 1, 'There is no step "rum"; accepted are run'),
    ("run north 500 mmm", 1, 11, '"500 mmm" is not a length'),
    ("run north 500\nsize 3\nrun north 500", 2, 6, "The size changes from DN 50 to DN 80 without a reducer"),
    ("run north 500\nrun up 500\nopen end", 2, 1, "The route turns here without a fitting"),
    ("run north 500\nelbow 45\nrun up 500\nopen end", 2, 7, "The elbow turns by 45° but the route turns by 90.0° here"),
    ("run north 500", 1, 1, "The route ends here with nothing that closes it"),
    ("run north 500\ntee\nbranch up\nrun up 300\nend branch\nrun north 500\nopen end", 4, 1,
     "The branch ends here with nothing that closes it"),
    ("run north 500\ntee\nrun north 500\nopen end", 2, 1, "The outlet of the tee of line 2 is open"),
    ("run north 500\nelbow\nrun up 100\nelbow\nrun east 500\nopen end", 3, 5,
     "Between the elbow of line 2 and the elbow of line 4: the pipe does not fit: 58.0 mm short; accepted are "
     "distances over 158 mm."),
    # NPS 2 Class 3000: two centres 38 to the bottom, two sockets 16 deep, two gaps of 1.5: 60 - 76 - 3 = -19, and the
    # fittings touch at 2 x (38 + 16) = 108.
    ("ends socket\nrun north 500\nelbow\nrun up 60\nelbow\nrun east 500\nopen end", 4, 5,
     "the pipe does not fit: 19.0 mm short, 48.0 mm until the sockets no longer overlap; accepted are distances from "
     "108 mm."),
    ("ends socket\nrun north 500\nelbow\nrun up 105\nelbow\nrun east 500\nopen end", 4, 5,
     "the pipe does not fit: the sockets would overlap by 3.0 mm; accepted are distances from 108 mm."),
    ("point A\nrun north 500\nelbow\nrun east 500\narrive at B\npoint B", 5, 11,
     "The point B stands later, at line 6; accepted is one named before this: A."),
    ("run north 1,200 mm", 1, 11, 'accepted are 1/8 in, 3-3/8 in, 2\' 3-1/2", 40 mm, 4 cm and 1.2 m. Write the decimal '
     "point as a point, and no separators between thousands."),
    ("run north 500\nelbow\nrun up 500\nelbow\nrun south 500\nelbow\nrun down 488\narrive at E 0 N 0 EL 0", 8, 11,
     "The route misses this point: it is 12 mm too far up."),
    ("point A\nrun north 500\nelbow\nrun east 500\narrive at B", 5, 11, "There is no point B; accepted are A."),
    ("run north 500\nolet 3 height 20", 2, 6, "The outlet DN 80 is larger than the run DN 50"),
    ("run north 500\nolet 1 sch 80 height 27\nbranch up\nrun up 300\nopen end\nend branch\nrun north 10\nopen end", 2, 1,
     "The olet of line 2 is 6.7 mm too near the end of its pipe"),
    ("run north 500\nflange 600", 2, 1,
     "The length of Class 600 flanges stands in no table here; write it behind, for example length 89."),
    ("run north 500\nflange 650", 2, 8, "There are no flanges of Class 650; accepted are Class 600, 400, 900, 300,"),
    ("ends socket\nrun north 500\ncap", 3, 1,
     "The length of a socket-welding cap stands in no table here; write it behind, for example length 35."),
    ("run north 500\nvalve V length 200 bolted\nrun north 500\nopen end", 3, 1, "The pipe meets the bolted face"),
    ("run north 500\nelbow\nflange 150", 3, 1, "The flange of line 3 stands at the same point as the elbow of line 2"),
    ("branch up\nrun up 500\nopen end\nend branch", 1, 1, "The branch has nothing to leave from"),
    ("run north 500\ntee\nbranch up\nrun up 300\nopen end", 3, 1, "The branch has no end"),
    ("run north 500\nend branch", 2, 1, "No branch is open here"),
    ("run north 500\nsize 2 sch 80\nrun north 500", 2, 12, "The schedule changes from 40 to 80 within a length of pipe"),
    ("size 2 sch 79", 1, 12, 'DN 50 has no schedule "79"; accepted are 80'),
    ("run north 500\ntee 1\nbranch up\nrun up 300\nopen end\nend branch\nrun north 500\nopen end", 2, 5,
     "No table here has the outlet of a tee DN 50 x 25"),
    ("elbow 120", 1, 7, "An angle of 120° is not possible here"),
    ("run north 500 south 300", 1, 5, "Two of the offsets lie along one axis"),
    ("support shoe\nreducer eccentric to 3", 2, 1, "An eccentric reducer needs its flat side"),
    ("ends socket\nrun north 500\nreducer to 1 sch 80\nrun north 500\nopen end", 3, 1,
     "The length of a socket-welding reducer stands in no table here; write it behind, for example length 50."),
    ("valve V-1 203", 1, 14, "Expected \"length\" and a length here, for example: valve V-1 length 203 mm socket."),
]  # fmt: skip


@pytest.mark.parametrize(("route", "line", "column", "says"), FAULTS, ids=[one[3][:40] for one in FAULTS])
def test_says_what_is_wrong_and_where(route, line, column, says):
    faults = shape_of_text(f"ends butt ; \n{route}", Setting("2", "40")).faults
    told = [(one.line - 1, one.column) for one in faults if says in renumbered(one.message)]
    assert (line, column) in told, [str(one) for one in faults]


def renumbered(message: str) -> str:
    """The lines that a message names, counted without the first."""
    for number in range(2, 20):
        message = message.replace(f"line {number}", f"line {number - 1}")
    return message


def test_a_route_with_faults_makes_no_joints():
    shape = shape_of_text("run north 500\nelbow\nrun up 100\nelbow\nrun east 500\nopen end", Setting("2", "40"))
    assert shape.faults and not shape.joints and not shape.pipes


def test_too_many_lines_and_too_long_a_line():
    assert "1001 lines" in shape_of_text("support\n" * 1001, Setting("2", "40")).faults[0].message
    assert "at most 300" in shape_of_text(f"run north {'5' * 400}", Setting("2", "40")).faults[0].message
