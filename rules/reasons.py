"""Rejects and cut-outs that came in without a word of why."""

from collections.abc import Iterator

from rules.attempts import CUT_OUT, decided
from rules.case import Case, found
from rules.facts import ExaminationFacts
from rules.finding import Finding
from rules.source import Source

_PRACTICE = Source("common practice", state="practice")


def findings(case: Case) -> Iterator[Finding]:
    """Notes on rejects of which nothing says what was seen, and on cut-outs that give no reason.

    Forms ask for both; a workbook or the API may bring them without. What a cut-out took away is not asked any more.
    """
    for one in case.joint.examinations:
        if one.result == "rejected" and one.attempt in case.live and not _says_what(one):
            report = f"; report {one.report} may say it" if one.report else ""
            told = f"The {one.method} of {one.done_on} is a reject, and nothing says what was seen{report}."
            yield _note(case, told, one.attempt, one.id, limit="what was seen")
    for decision, _ in decided(case.joint.repairs) if case.joint.repairs else ():
        if decision.decision == CUT_OUT and not decision.reason.strip():
            told = f"The cut-out decided on {decision.done_on} gives no reason."
            yield _note(case, told, decision.attempt, decision.id, limit="a reason")


def _says_what(one: ExaminationFacts) -> bool:
    """Whether indications are written down, or anything was measured."""
    measured = (one.leg_a_mm, one.leg_b_mm, one.undercut_mm, one.gap_on_film_mm)
    return bool(one.indications.strip()) or any(value is not None for value in measured)


def _note(case: Case, told: str, attempt: str, record: str, *, limit: str) -> Finding:
    return found(case, "reason-missing", told, _PRACTICE, attempt=attempt, record=record, measured="none", limit=limit)
