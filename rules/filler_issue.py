"""Filler lots as they were issued: a pass whose lot nobody gave to that welder is worth a note."""

from rules.case import Case, found
from rules.finding import Finding
from rules.source import Source

_PRACTICE = Source("common practice", state="practice")


def findings(case: Case) -> list[Finding]:
    """One note for each welder and lot of which no issue is recorded by the day of the pass.

    Passes know whether their lot was issued only on a job that keeps issue records at all.
    """
    seen: dict[tuple[str, str], Finding] = {}
    for one in case.passes:
        if one.lot_was_issued is not False:
            continue
        key = (one.stamp, one.filler_lot)
        if key not in seen:
            told = f"Pass {one.order} names lot {one.filler_lot}, of which no issue to {one.stamp} is recorded by then."
            seen[key] = found(
                case,
                "lot-not-issued",
                told,
                _PRACTICE,
                attempt=one.attempt,
                record=one.id,
                measured="no issue",
                limit="an issue to the welder",
                subject=one.filler_lot,
            )
    return list(seen.values())
