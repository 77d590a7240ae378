"""What joints and lots were on a day: without what is dated after it."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from rules.facts import JointFacts
from rules.lots import Lot, LotWeld, judge_lot


def joint_on(joint: JointFacts, day: date) -> JointFacts:
    """A joint without the records dated after a day; its plan and its people are those of now."""
    return replace(
        joint,
        fit_ups=_until(joint.fit_ups, day),
        passes=_until(joint.passes, day),
        examinations=_until(joint.examinations, day),
        repairs=_until(joint.repairs, day),
        releases=_until(joint.releases, day),
        attendances=_until(joint.attendances, day),
    )


def lot_on(lot: Lot, day: date) -> Lot:
    """A lot without the welds completed and the examinations made after a day; which of them stand is as of now."""
    return judge_lot(lot.rule, lot.name, [_weld_on(one, day) for one in lot.welds if one.first[1] <= day])


def _weld_on(weld: LotWeld, day: date) -> LotWeld:
    if weld.examined is None or weld.examined[0] <= day:
        return weld
    return replace(weld, charged=(), result="", examined=None)


def _until(records: Sequence[Any], day: date) -> tuple[Any, ...]:
    return tuple(one for one in records if one.done_on <= day)
