"""Preheat and heat treatment by edition and unit system, by hand from their tables."""

from decimal import Decimal

import pytest

from rules.heating import heat_treatment, preheat
from rules.units import US, figure

D = Decimal
INCH = D("25.4")


@pytest.mark.parametrize(
    ("edition", "p", "thickness", "more", "si", "us"),
    [
        ("2010", "1", "24", {}, 10, "50"),
        ("2010", "1", "25", {}, 79, "50"),  # under 25 mm; 0.98 in is under 1 in
        ("2010", "3", "12", {"tensile_mpa": D(500)}, 79, "175"),
        ("2010", "4", "5", {}, 149, "300"),
        ("2010", "5B", "5", {}, 177, "350"),
        ("2010", "8", "50", {}, 10, "50"),
        ("2014", "1", "25.4", {"carbon": D("0.31")}, 95, "50"),  # 1 in is not over 1 in
        ("2014", "1", "26", {"carbon": D("0.31")}, 95, "200"),
        ("2014", "3", "12.7", {}, 10, "50"),
        ("2014", "3", "10", {"tensile_mpa": D(455)}, 95, "200"),
        ("2014", "4", "3", {}, 120, "250"),
        ("2014", "5A", "3", {"tensile_mpa": D("413.685")}, 150, "300"),
        ("2014", "5B", "3", {"tensile_mpa": D(415)}, 200, "400"),
        ("2018", "6", "3", {}, 200, "400"),
        ("2018", "15E", "3", {}, 200, "400"),
        ("2018", "10H", "3", {}, 10, "50"),
        ("2018", "9A", "3", {}, 120, "250"),  # P-9 and P-10 from memory
        ("2014", "9B", "3", {}, 150, "300"),
        ("2016", "10I", "3", {}, 150, "300"),
        ("2014", "34", "3", {}, 10, "50"),
    ],
)
def test_preheat_by_edition(edition: str, p: str, thickness: str, more: dict, si: int, us: str) -> None:
    assert preheat(edition, p, D(thickness), **more).preheat_c == si
    found = preheat(edition, p, D(thickness), more.get("carbon"), more.get("tensile_mpa"), US)
    assert figure(found.preheat_c, "°C", US) == us


# ASME B31.3 Table 330.1.1, 2014: all others 10 °C; 5C has no row beside 5A and 5B, and its metal is no other.
def test_a_p_number_without_a_row_takes_that_of_all_others_and_says_so() -> None:
    for p in ("8", "34", "45"):
        assert preheat("2014", p, D(5)).notes == (f"P-{p} has no row of its own: that for all other P-Numbers counts.",)
    assert preheat("2014", "4", D(5)).notes == ()
    for p in ("5C", "15F"):
        with pytest.raises(ValueError, match="no row for P-") as refused:
            preheat("2014", p, D(5))
        assert "any" not in str(refused.value)
    assert preheat("2010", "5C", D(5)).preheat_c == 177


# The row of 2014 for P-5B over 6 % chromium: 200 °C whatever the strength.
def test_chromium_of_p_5b_is_told_where_the_strength_alone_asks_less() -> None:
    assert "P-5B over 6 % chromium asks for 200 °C." in preheat("2014", "5B", D(5), None, D(413)).notes
    told = preheat("2014", "5B", D(5), None, D("413.68"), US).notes
    assert "P-5B over 6 % chromium asks for 400 °F." in told
    assert not any("chromium" in one for one in preheat("2014", "5B", D(5), None, D(415)).notes)
    assert not any("chromium" in one for one in preheat("2014", "5A", D(5), None, D(413)).notes)
    assert not any("chromium" in one for one in preheat("2010", "5B", D(5)).notes)


def test_only_the_older_edition_recommends() -> None:
    assert not preheat("2010", "1", D(10)).required
    assert preheat("2014", "1", D(10)).required
    with pytest.raises(ValueError, match="accepted are"):
        preheat("2010", "6", D(10))


@pytest.mark.parametrize(
    ("edition", "p", "thickness", "more", "si", "us"),
    [
        ("2012", "1", "20", {}, None, (1100, 1200)),  # 20 mm is over 3/4 in
        ("2012", "1", "20.1", {}, (593, 649), (1100, 1200)),
        ("2012", "4", "12.7", {}, None, None),
        ("2012", "4", "13.5", {}, (704, 746), (1300, 1375)),
        ("2012", "5A", "10", {"carbon": D("0.16")}, (704, 760), (1300, 1400)),
        ("2016", "1", "26", {}, (595, 650), (1100, 1200)),
        ("2016", "1", "100", {"preheat_c": D(95)}, None, None),
        ("2016", "4", "15.875", {"preheat_c": D("121.1111"), "throat_mm": D("12.7")}, None, None),
        ("2016", "1", "25.4", {}, (595, 650), None),
        ("2016", "3", "16.1", {"preheat_c": D(95)}, (595, 650), (1100, 1200)),
        ("2016", "4", "16", {"preheat_c": D(121), "throat_mm": D("13.5")}, (650, 705), (1200, 1300)),
        ("2016", "4", "16", {"preheat_c": D("121.1111"), "throat_mm": D("12.7")}, None, (1200, 1300)),  # over 5/8 in
        ("2016", "5A", "3", {}, (675, 760), (1250, 1400)),
        ("2018", "15E", "3", {}, (705, 775), (1300, 1425)),
        ("2012", "8", "99", {}, None, None),
        ("2018", "8", "99", {}, None, None),
    ],
)
def test_heat_treatment_by_edition(edition: str, p: str, thickness: str, more: dict, si: object, us: object) -> None:
    found = heat_treatment(edition, p, D(thickness), **more)
    assert (found.min_c, found.max_c) == (si or (None, None))
    found = heat_treatment(edition, p, D(thickness), units=US, **more)
    shown = found.min_c and found.max_c and tuple(int(figure(one, "°C", US)) for one in (found.min_c, found.max_c))
    assert shown == us


def test_a_throat_does_not_stand_against_p_1() -> None:
    assert not heat_treatment("2018", "1", D(20), throat_mm=D(15)).required


@pytest.mark.parametrize(
    ("edition", "p", "thickness", "hours"),
    [("2016", "1", "30", "1.2"), ("2016", "3", "20", "0.8"), ("2016", "15E", "5", "0.5"), ("2012", "4", "14", "2")]
    + [("2016", "3", "50", "2"), ("2016", "3", "75", "2.25"), ("2012", "1", "75", "3"), ("2016", "5A", "3", "0.25")],
)
def test_hold_by_thickness(edition: str, p: str, thickness: str, hours: str) -> None:
    # 1 h for 25 mm, at least the least; from 2014 on over 50 mm 2 h and a quarter for each further 25 mm.
    assert heat_treatment(edition, p, D(thickness)).hold_h == D(hours)


def test_hold_by_the_inch() -> None:
    assert heat_treatment("2016", "3", 2 * INCH, units=US).hold_h == 2
    assert heat_treatment("2016", "3", 4 * INCH, units=US).hold_h == D("2.5")
