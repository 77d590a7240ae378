"""Lots: who stands together, whether the sample is enough, and what a reject asks; expected values counted by hand."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from rules.lots import Lot, LotRule, LotWeld, judge_lot, lot_findings, lots_of, parse_basis

DAY = date(2026, 9, 14)
AT = datetime(2026, 9, 14, 12, tzinfo=UTC)
TEN = LotRule("r", "N10", "butt", "RT", "final", Decimal(10), ("line",), None)


def weld(number: int, welder: str = "S1", result: str = "", day: int = 0, picked: str = "", **more: object) -> LotWeld:
    when = DAY + timedelta(days=day)
    told: dict[str, object] = {
        "id": str(number), "name": f"GL-201/1/{number}", "sort_key": f"{number:04}", "values": {"line": "GL-201"},
        "first": (AT, DAY), "stands": True, "attempt": "0", "welders": (welder,), "result": result, "picked": picked,
        "charged": (welder,) if result else (),
        "examined": (when, datetime.combine(when, AT.timetz())) if result else None,
    }  # fmt: skip
    return LotWeld(**told | more)  # type: ignore[arg-type]


def lot(*welds: LotWeld, rule: LotRule = TEN) -> Lot:
    return judge_lot(rule, "line GL-201", welds)


@pytest.mark.parametrize(
    ("text", "size", "words"),
    [
        ("line", None, ("line",)),
        ("Line and week", None, ("line", "week")),
        ("service, welders", None, ("service", "welder")),
        ("fluid service per month", None, ("fluid service", "month")),
        ("", 50, ("job",)),
        ("", None, None),
        ("phase of the moon", None, None),
    ],
)
def test_a_basis_is_read_as_people_write_it(text: str, size: int | None, words: tuple[str, ...] | None) -> None:
    assert parse_basis(text, size) == words


def test_ten_percent_of_eleven_welds_is_two() -> None:
    one = lot(weld(1, result="accepted"), *(weld(number) for number in range(2, 12)))
    assert (one.needed, one.counted, one.short, one.to_pick) == (2, 1, 1, 1)
    assert one.steps[0] == "10 % of 11 welds, rounded up = 2"
    assert {weld.id for weld, found in lot_findings(one) if found.code == "sample-short"} == {
        str(number) for number in range(1, 12)
    }


def test_a_picked_weld_is_short_until_it_is_examined() -> None:
    one = lot(weld(1, picked="sample"), weld(2))
    assert (one.short, one.pending, one.to_pick) == (1, 1, 0)
    assert lot(weld(1, picked="sample", result="accepted"), weld(2)).short == 0


def test_every_welder_has_one_examined() -> None:
    one = lot(weld(1, "S1", "accepted"), weld(2, "S1"), weld(3, "S4"))
    assert (one.needed, one.counted, one.lacking, one.short) == (1, 1, ("S4",), 1)
    [told, *_] = {found.message for _, found in lot_findings(one)}
    assert "nothing is examined of S4" in told


def test_a_reject_asks_for_two_more_of_the_welder_then_two_then_all() -> None:
    rest = [weld(number, "S1") for number in range(20, 26)]
    other = weld(30, "S4", "accepted")
    first = lot(weld(1, "S1", "rejected"), *rest, other)
    assert [one.due for one in first.extras] == [2]
    named = [found.message for seen, found in lot_findings(first) if found.code == "extra-examination-due"]
    assert len(named) == 7
    assert "2 more of this welder" in named[0]
    assert "GL-201/1/20" in named[0]
    assert "GL-201/1/30" not in named[0]

    half = lot(weld(1, "S1", "rejected"), weld(2, "S1", "accepted", 1), *rest, other)
    assert half.extra_due == 1
    settled = lot(weld(1, "S1", "rejected"), *(weld(n, "S1", "accepted", 1) for n in (2, 3)), *rest, other)
    assert (settled.extra_due, settled.short) == (0, 0)
    again = lot(weld(1, "S1", "rejected"), weld(2, "S1", "accepted", 1), weld(3, "S1", "rejected", 1), *rest, other)
    assert again.extra_due == 2
    whole = lot(
        weld(1, "S1", "rejected"), weld(2, "S1", "accepted", 1), weld(3, "S1", "rejected", 1),
        weld(4, "S1", "rejected", 2), weld(5, "S1", "accepted", 2), *rest, other,
    )  # fmt: skip
    assert whole.extra_due == 6


def test_extra_examinations_do_not_count_toward_the_share() -> None:
    welds = [weld(1, "S1", "rejected"), weld(2, "S1", "accepted", 1), weld(3, "S1", "accepted", 1)]
    one = lot(*welds, *(weld(number) for number in range(4, 22)))
    assert (one.needed, one.counted, one.short) == (3, 1, 2)


def test_a_picked_weld_of_the_sample_examined_after_the_reject_is_no_extra() -> None:
    one = lot(weld(1, "S1", "rejected"), weld(2, "S1", "accepted", 1, "sample"), weld(3), weld(4), weld(5))
    assert (one.counted, one.extra_due) == (2, 2)


def test_lots_of_a_size_keep_their_welds_whatever_comes_later() -> None:
    rule = LotRule("r", "N10", "butt", "RT", "final", Decimal(10), ("line",), 3)
    welds = [weld(n, first=(AT + timedelta(hours=n), DAY)) for n in range(1, 6)]
    before = lots_of(rule, welds)
    assert [[one.id for one in lot.welds] for lot in before] == [["1", "2", "3"], ["4", "5"]]
    late = weld(0, first=(AT + timedelta(days=2), DAY - timedelta(days=9)))
    after = lots_of(rule, [late, *welds])
    assert [[one.id for one in lot.welds] for lot in after] == [["1", "2", "3"], ["0", "4", "5"]]
    assert [lot.name for lot in after] == ["line GL-201, no. 1", "line GL-201, no. 2"]


def test_a_weld_cut_out_counts_no_more_but_its_reject_does() -> None:
    one = lot(weld(1, "S1", "rejected", stands=False), weld(2), weld(3), weld(4))
    assert (len(one.standing), one.needed, one.counted, one.extra_due) == (3, 1, 0, 2)
