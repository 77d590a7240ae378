"""Rests as typed: each goes to the size it is of, and one that says none is refused where there are several."""

from decimal import Decimal

import pytest

from office.queries.material import Asked, Cut, cutting_plans
from records.refusals import Implausible

# ASME B36.10M: NPS 4 is DN 100, NPS 2 is DN 50.
FOUR = ("NPS 4 Sch 40", "DN 100 Sch 40", "4 Sch 40")
TWO = ("NPS 2 Sch 80", "DN 50 Sch 80", "2 Sch 80")


def cut(mark: str, names: tuple[str, ...], mm: int) -> Cut:
    return Cut("1", "S-1", mark, names[1], names, f"{mm} mm", Decimal(mm), "", "", "", ())


CUTS = [cut("1", FOUR, 2000), cut("2", TWO, 850), cut("3", FOUR, 1400)]


def asked(rests: str) -> Asked:
    return Asked("6000", "3", "300", rests)


@pytest.mark.parametrize("two_inch", ["nps 2 sch 80", "DN 50 Sch 80", "2 Sch 80"])
@pytest.mark.parametrize("four_inch", ["4 Sch 40", "dn 100  sch 40"])
def test_rests_go_to_the_size_they_are_of(two_inch: str, four_inch: str) -> None:
    four, two = cutting_plans(CUTS, asked(f"{two_inch}: 900 H-7; {four_inch}: 1500 mm H-100, 1.2 m"), "SI")
    assert [bar.name for bar in four.bars] == ["rest 2, 1500 mm, heat H-100", "bar 1, 6000 mm"]
    assert [bar.name for bar in two.bars] == ["rest 1, 900 mm, heat H-7"]
    assert (four.new_bars, two.new_bars) == (1, 0)


def test_with_one_size_it_need_not_be_said() -> None:
    (plan,) = cutting_plans(CUTS[::2], asked("2.1 m"), "SI")
    assert plan.bars[0].name == "rest 1, 2100 mm"


@pytest.mark.parametrize("rests", ["1500", "NPS 3 Sch 40: 1500", "100 Sch 40: 1500"])
def test_a_rest_of_no_size_of_the_list_is_refused(rests: str) -> None:
    with pytest.raises(Implausible, match=r"of which size these rests are; accepted are DN 100 Sch 40, DN 50 Sch 80"):
        cutting_plans(CUTS, asked(rests), "SI")
