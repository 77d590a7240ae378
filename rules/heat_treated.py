"""What was examined or tested before the heat treatment or the leak test that it belongs after or before."""

from collections.abc import Iterator, Mapping, Sequence
from operator import attrgetter

from rules.case import Case, found
from rules.facts import ExaminationFacts
from rules.finding import NOTE, Finding
from rules.procedure import bare_p
from rules.sequence import is_before
from rules.source import Source
from rules.state import ACCEPTED, is_final
from rules.tables import basis, table

HEAT_TREATMENT, LEAK_TEST = "PWHT", "leak test"
_LATE = frozenset((HEAT_TREATMENT, LEAK_TEST))
_OF_THE_WELD = ("VT", "RT", "UT", "PT", "MT")
# A repair after the leak test asks for another one.
_AGAIN = Source("ASME B31.3", "", "345.2.6", "memory")
_METHOD, _DAY = attrgetter("method"), attrgetter("done_on")


def findings(case: Case) -> list[Finding]:
    """Examinations of the current attempt that a heat treatment outdates, and those that came after its leak test.

    By ASME B31.3 341.3.1, 331.1.7, 345.2.2 and 345.2.6. An earlier look besides the last one is nobody's fault, nor is
    one that names a stage of its own, as welded: only the last final examination counts.
    """
    if _LATE.isdisjoint(map(_METHOD, case.examinations)):
        return []
    last = _last_of_each(case.examinations)
    return [*_outdated(case, last), *_after_the_test(case, last)]


def _last_of_each(examinations: Sequence[ExaminationFacts]) -> Mapping[str, ExaminationFacts]:
    """The last accepted final examination by method."""
    good = [one for one in examinations if one.result == ACCEPTED and is_final(one.stage)]
    return {one.method: one for one in sorted(good, key=_DAY)}


def _outdated(case: Case, last: Mapping[str, ExaminationFacts]) -> Iterator[Finding]:
    treated = last.get(HEAT_TREATMENT)
    if treated is None:
        return
    joint = case.joint
    mine = {bare_p(side.p_number) for side in (joint.material_a, joint.material_b) if side}
    for row in table("after_heat_treatment_b31_3").rows:
        one, only = last.get(row["method"]), row["only_p"].split()
        numbers = sorted(mine.intersection(only))
        if one is None or not is_before(one, treated) or (only and not numbers):
            continue
        why = f"P-{' and P-'.join(numbers)} is examined after it" if numbers else "it comes after"
        told = f"{_named(one)} is dated {one.done_on}, before the heat treatment of {treated.done_on}: {why}."
        source = Source(
            "ASME B31.3", "", row["clause"], row["state"], tables=(basis("after_heat_treatment_b31_3", row),)
        )
        yield _order(case, one, treated, told, source)


def _after_the_test(case: Case, last: Mapping[str, ExaminationFacts]) -> Iterator[Finding]:
    test = last.get(LEAK_TEST)
    for method in _OF_THE_WELD if test else ():
        one = last.get(method)
        if test and one and is_before(test, one):
            told = (
                f"{method} is dated {one.done_on}, after the leak test of {test.done_on}: "
                "a repair that it asked for would be tested again."
            )
            yield _order(case, one, test, told, _AGAIN, NOTE)


def _named(one: ExaminationFacts) -> str:
    return {"leak test": "The leak test", "hardness": "The hardness"}.get(one.method, one.method)


def _order(
    case: Case, one: ExaminationFacts, other: ExaminationFacts, told: str, source: Source, severity: str = ""
) -> Finding:
    return found(
        case,
        "record-order",
        told,
        source,
        attempt=one.attempt,
        record=one.id,
        measured=str(one.done_on),
        limit=str(other.done_on),
        subject=one.method,
        severity=severity,
    )
