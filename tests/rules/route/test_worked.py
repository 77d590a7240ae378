"""Routes worked out on paper: every cut length, with take-outs from the tables and the arithmetic written beside it.

Take-outs in mm. Class 3000 sockets: NPS 1 elbow and tee 22.5, 45 elbow 14, coupling 12.5 / 2; NPS 2: 38, 25.5, 19 / 2;
NPS 1-1/2: 32. Butt: NPS 2 elbow 76, 45 elbow 35, short 51, tee 64, cap 38, reducer 76; NPS 3: 114, 51, -, 86, 51, 89;
NPS 4: 152, 64, 102, 105, 64, 102. Flanges Class 150: NPS 2 weld neck 62 + 2, socket 24 + 2 - 17; NPS 3 weld neck 68 + 2.
Sockets are set with a gap of 1.5, butt welds with 3.
"""

from decimal import Decimal as D

import pytest

from rules.route.geometry import shape_of_text
from rules.route.parts import Setting

# name, size, schedule, route, cut lengths along the flow
WORKED = [
    # 1000 - 22.5 - 22.5 - 2 x 1.5 = 952; plain end: 500 - 22.5 - 1.5 = 476
    ("two socket elbows", "1", "80",
     "run north 500; e\nelbow\nrun up 1000\nelbow\nrun east 500\nopen end", "476 952 476"),
    # 1200 - (24 + 2 - 17) - 38 - 3 = 1150
    ("socket flange to elbow", "2", "80",
     "ends socket\nflange 150\nrun north 1200\nelbow\nrun up 400\nopen end", "1150 360.5"),
    # 800 - 38 - 38 - 3 = 721; outlet 300 - 38 - 1.5 = 260.5
    ("socket tee with branch", "2", "80",
     "ends socket\nrun east 500\nelbow\nrun north 800\ntee\nbranch up\nrun up 300\nopen end\nend branch\n"
     "run north 300\nopen end", "460.5 721 260.5 260.5"),
    # 400 - 38 - 9.5 - 3 = 349.5; 400 - 9.5 - 1.5 = 389
    ("coupling", "2", "80",
     "ends socket\nrun east 100\nelbow\nrun north 400\ncoupling\nrun north 400\nopen end", "60.5 349.5 389"),
    # 400 - 14 - 1.5 = 384.5; set and advance 353.5534, so the travel is 500: 500 - 2 x 14 - 3 = 469
    ("socket 45 elbows", "1", "80",
     "run north 400\nelbow 45\nrun north 353.5534 up 353.5534\nelbow 45\nrun north 400\nopen end", "384.5 469 384.5"),
    # 1000 - 76 - 76 - 2 x 3 = 842
    ("two butt elbows", "2", "40",
     "ends butt\nrun north 500\nelbow 90\nrun up 1000\nelbow 90\nrun east 500\nopen end", "421 842 421"),
    # 1000 - 51 - 76 - 6 = 867
    ("short elbow", "2", "40",
     "ends butt\nrun north 500\nelbow 90 short\nrun up 1000\nelbow\nrun east 500\nopen end", "446 867 421"),
    # 1500 - 64 - 76 - 6 = 1354; 600 - 76 - 3 = 521
    ("weld-neck flange", "2", "40",
     "ends butt\nflange 150\nrun north 1500\nelbow\nrun up 600\nopen end", "1354 521"),
    # run 700 - 3 - 64 = 633; outlet 300 - 64 - 38 - 6 = 192; run on 400 - 64 - 3 = 333
    ("butt tee with a capped branch", "2", "40",
     "ends butt\nrun north 700\ntee\nbranch east\nrun east 300\ncap\nend branch\nrun north 400\nopen end",
     "633 192 333"),
    # NPS 4: 900 - 152 - 3 - 3 = 742 to the reducer; NPS 3: 500 - 3 = 497
    ("concentric reducer", "4", "40",
     "ends butt\nrun east 300\nelbow\nrun north 900\nreducer to 3\nrun north 500\nopen end", "145 742 497"),
    # the reducer against the elbow; then 600 - 114 - 70 - 6 = 410
    ("reducer against an elbow", "4", "40",
     "ends butt\nrun north 500\nreducer to 3\nrun north fitting to fitting\nelbow\nrun up 600\nflange 150", "497 410"),
    # 1000 - 70 - 3 = 927 twice; gasket and valve between add nothing to the pipes
    ("flanged valve", "3", "40",
     "ends butt\nrun north 1000\nflange 150\ngasket 3\nvalve V-1 length 203\ngasket 3\nflange 150\nrun north 1000\n"
     "open end", "927 927"),
    # Face to face 90, sockets 12.5 deep: 500 - 22.5 + 12.5 - 3 = 487
    ("socket valve", "1", "80",
     "run east 200\nelbow\nrun north 500\nvalve V-2 length 90\nrun north 300\nopen end", "176 487 311"),
    # A valve of Class 800 has the same sockets; a socket cap 35 long: 200 - 22.5 - 1.5 = 176; 500 - 22.5 + 12.5 - 3 = 487;
    # 300 + 12.5 - (35 - 12.5) - 3 = 287
    ("socket valve of its own class, and a socket cap", "1", "80",
     "run east 200\nelbow\nrun north 500\nvalve V-2 length 90 socket class 800\nrun north 300\ncap length 35",
     "176 487 287"),
    # Weld neck 89 through the hub: 500 - 89 - 76 - 6 = 329; socket flange 38 long with a socket of 16: 300 - 76 - 3 = 221,
    # 221 - (38 - 16) + 3 - 3 - 1.5 = 197.5
    ("flanges whose lengths are written", "2", "80",
     "ends butt\nflange 600 length 89\nrun north 500\nelbow\nrun up 300\nflange 600 socket length 38", "329 197.5"),
    # Butt valve 178 end to end: 500 - 3 = 497, 300 - 3 = 297
    ("butt valve", "2", "40",
     "ends butt\nrun north 500\nvalve V-3 length 178\nrun north 300\nopen end", "497 297"),
    # A field weld halves its opening between both pipes: 1000 - 76 - 3 - 1.5 = 919.5; 800 - 1.5 = 798.5
    ("field weld in a run", "2", "40",
     "ends butt\nrun east 200\nelbow\nrun north 1000\nfield weld\nrun north 800\nopen end", "121 919.5 798.5"),
    # The field-fit pipe keeps 100 more: 1019.5
    ("field-fit weld in a run", "2", "40",
     "ends butt\nrun east 200\nelbow\nrun north 1000\nfield fit weld\nrun north 800\nopen end", "121 1019.5 798.5"),
    # Allowance on the pipe before the fitting: 1000 - 76 - 76 - 6 + 150 = 992
    ("field-fit at an elbow", "2", "40",
     "ends butt\nrun east 200\nelbow\nrun north 1000\nfield fit weld allowance 150\nelbow\nrun up 300\nopen end",
     "121 992 221"),
    # An olet 27 high on NPS 4: branch 300 - 114.3 / 2 - 27 - 1.5 = 214.35; the header is whole: 2000 - 3 x 0 = 2000
    ("olet", "4", "40",
     "ends butt\nrun north 1000\nolet 1 sch 80 height 27 socket\nbranch up\nrun up 300\nopen end\nend branch\n"
     "run north 1000\nopen end", "2000 214.35"),
    # A branch pipe NPS 4 on NPS 4: its long point reaches the axis, so 500 - 0 - 3 = 497
    ("stub of equal size", "4", "40",
     "ends butt\nrun north 1000\nstub 4\nbranch up\nrun up 500\nopen end\nend branch\nrun north 1000\nopen end",
     "2000 497"),
    # A branch of radius 30.15 on 57.15: sqrt(57.15² - 30.15²) = sqrt(3266.1225 - 909.0225) = 48.55; 400 - 48.55 - 3
    ("stub of smaller size", "4", "40",
     "ends butt\nrun north 1000\nstub 2\nbranch up\nrun up 400\nopen end\nend branch\nrun north 1000\nopen end",
     "2000 348.45"),
    # Slip-on: set back by the wall 3.91: 700 - 76 - 3 - 3.91 = 617.09
    ("slip-on flange", "2", "40",
     "ends butt\nrun east 300\nelbow\nrun north 700\nflange 150 slip-on", "221 617.09"),
    # Half coupling NPS 1 (28.5) on NPS 4: 300 - 57.15 - 28.5 - 1.5 = 212.85
    ("half coupling", "4", "40",
     "ends butt\nrun north 1000\nhalf coupling 1\nbranch west\nrun west 300\nopen end\nend branch\nrun north 1000\n"
     "open end", "2000 212.85"),
    # 60 elbow of NPS 2: 76 x tan 30° = 43.8786; 500 - 43.8786 - 3 = 453.1214; travel of 200 / sin 60° = 230.9401
    ("offset by 60 degrees", "2", "40",
     "ends butt\nrun north 500\noffset 60 up 200\nrun north 500\nopen end", "453.1214 137.1829 453.1214"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "nps", "schedule", "route", "cuts"), WORKED, ids=[one[0] for one in WORKED])
def test_cut_lengths_worked_on_paper(name, nps, schedule, route, cuts):
    shape = shape_of_text(route, Setting(nps, schedule))
    assert not shape.faults
    assert [one.cut_mm for one in shape.pipes] == pytest.approx([D(cut) for cut in cuts.split()], abs=D("0.0001"))


def test_a_route_in_feet_and_inches():
    # 20 in - 1.50 - 1.50 of a NPS 2 socket elbow - 2 x 1/16 = 16.875 in
    setting = Setting("2", "80", units="US", socket_gap_mm=D("1.5875"))
    shape = shape_of_text("ends socket\nrun north 10\nelbow\nrun up 1' 8\"\nelbow\nrun east 10\nopen end", setting)
    assert shape.pipes[1].cut_mm / D("25.4") == D("16.875")
    assert shape.pipes[1].steps[0].endswith("= 16-7/8 in")
    assert [one.text for one in shape.elevations] == ["EL +1' 8\""]
    assert [one.text for one in shape.end_places] == [('E 0"', 'N 0"', 'EL +0"'), ('E 10"', 'N 10"', "EL +1' 8\"")]


@pytest.mark.parametrize(("start", "told"), [
    ("", ("E", "N", "EL")), ("start\n", ("E", "N", "EL")), ("start at EL 3000\n", ("E", "N")),
    ("start at E 0 N 0 EL 0\n", ()),
])  # fmt: skip
def test_says_which_coordinates_the_start_was_given_none_of(start, told):
    shape = shape_of_text(f"{start}run north 500\nopen end", Setting("2", "40"))
    assert not shape.faults
    assert shape.from_start == told


def test_a_route_that_arrives_at_a_tee_has_no_end_there():
    text = """run north 500
tee
point A
run north 500
tee
branch west
run west 600
elbow
run south 500
elbow
run east 600
arrive at A
end branch
run north 400
cap"""
    shape = shape_of_text(text, Setting("2", "40"))
    assert not shape.faults
    assert [one.text for one in shape.end_places] == [("E 0", "N 0", "EL +0"), ("E 0", "N 1400", "EL +0")]
