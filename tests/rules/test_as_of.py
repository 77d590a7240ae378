"""Joints and lots on a day: nothing that is dated after it counts."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal

from rules.as_of import joint_on, lot_on
from rules.judge import findings
from rules.lots import LotRule, LotWeld, judge_lot
from tests.rules.cast import JOB, examination, people, planned, repair, with_pass

DAYS = [date(2026, 5, day) for day in range(1, 8)]
FITTED, ROOT, CAP, LOOKED, DECIDED, LATER, _ = DAYS


def test_each_record_counts_from_its_day_on() -> None:
    first, second, third = with_pass(0)
    joint = planned(
        fit_ups=(),
        passes=(replace(first, done_on=ROOT), replace(second, done_on=CAP), replace(third, done_on=CAP)),
        examinations=(examination(result="rejected", indications="crack", done_on=LOOKED),),
        repairs=(repair(done_on=DECIDED),),
    )
    told = {day: [one.code for one in findings(joint_on(joint, day), JOB, people())] for day in DAYS}
    assert told[FITTED] == []
    assert told[ROOT] == ["fit-up-missing"]
    assert told[CAP] == ["fit-up-missing", "examination-due"]
    assert told[LOOKED] == ["fit-up-missing", "examination-rejected"]
    assert told[DECIDED] == told[LATER] == ["fit-up-missing"]
    assert joint_on(joint, DAYS[-1]) == replace(joint, **{
        name: tuple(getattr(joint, name)) for name in ("fit_ups", "attendances", "releases")
    })  # fmt: skip


def test_a_lot_has_the_welds_and_results_of_the_day() -> None:
    # 341.3.4: a reject asks two more welds of the same welder, from the day on which it was found.
    rule = LotRule("1", "P", "butt", "RT", "final", Decimal(20), ("line",), None)

    def weld(place: int, day: date, result: str = "", examined: date | None = None) -> LotWeld:
        at = datetime.combine(day, datetime.min.time()) + timedelta(minutes=place)
        seen = (examined, datetime.combine(examined, datetime.max.time())) if examined else None
        return LotWeld(
            str(place), f"J{place}", f"{place}", {"line": "L"}, (at, day), True, "0", ("A1",),
            charged=("A1",) if result else (), result=result, examined=seen,
        )  # fmt: skip

    welds = [weld(0, FITTED, "rejected", LOOKED), *(weld(place, ROOT) for place in range(1, 5)), weld(5, LATER)]
    lot = judge_lot(rule, "line L", welds)
    stands = {day: lot_on(lot, day) for day in DAYS}
    assert [len(stands[day].welds) for day in DAYS] == [1, 5, 5, 5, 5, 6, 6]
    assert [stands[day].counted for day in (ROOT, CAP, LOOKED)] == [0, 0, 1]
    assert [stands[day].extra_due for day in (CAP, LOOKED, LATER)] == [0, 2, 2]
