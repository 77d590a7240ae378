"""The rules together: what a joint asks before it is made, and what its records show after."""

from rules import (
    all_round,
    confirmation,
    deposits,
    examination,
    filler_issue,
    fit_up,
    heat_treated,
    heats,
    indications,
    pass_sequence,
    passes,
    persons,
    pieces,
    points,
    procedure,
    reasons,
    sequence,
)
from rules.asked import Asked, asked_of, of_heat
from rules.case import Case, is_judged, open_case
from rules.continuity import lapses
from rules.facts import JobFacts, JointFacts, People
from rules.finding import Derived, Finding, Requirement
from rules.limits import out_of
from rules.makeup import makeup_of
from rules.persons import WhoMayWeld, who_may_weld
from rules.procedure import outside_of
from rules.ranges import qualification_range
from rules.reweld import replaced_sides
from rules.state import PLANNED, REJECTED

__all__ = [
    "WhoMayWeld", "findings", "judged", "lapses", "outside_of", "qualification_range", "requirements", "who_may_weld",
]  # fmt: skip


def requirements(joint: JointFacts, job: JobFacts, people: People | None = None) -> list[Requirement]:
    """Everything a joint asks of its fit-up, passes and examinations, in the order in which they are made.

    people    with them come the requirements on persons: who may tack, weld and examine until when
    """
    alike = asked_of(joint, job)
    asked = [*alike.of_fit_up.asked]
    others = replaced_sides(joint)
    for side, heat in (("a", joint.heat_a), ("b", joint.heat_b)):
        if heat and (not others or side.upper() not in others):
            asked.append(of_heat(side, heat))
    if joint.revision:
        asked.append(fit_up.revision(joint.revision))
    asked += alike.of_passes
    asked += alike.of_examinations
    asked += points.requirements(joint.points)
    if people:
        asked += persons.requirements(joint, job, people)
        asked.append(examination.certified(people))
    return asked


def findings(joint: JointFacts, job: JobFacts, people: People) -> list[Finding]:
    """What the records of a joint show that is missing or out of its limits; none for one that is only planned."""
    return judged(joint, job, people)[1]


def judged(joint: JointFacts, job: JobFacts, people: People) -> tuple[Derived, list[Finding]]:
    """The derived state of a joint, and its findings."""
    alike = asked_of(joint, job)
    case = open_case(joint, job, alike.owners)
    found_here: list[Finding] = []
    if not is_judged(case):
        return case.derived, found_here
    weld = makeup_of(case, alike)
    if case.fit_up:
        found_here += _fit_up(case, alike)
        found_here += persons.tacker(case, people, weld.tack)
    if case.passes or case.base_welded:
        found_here += fit_up.missing(case)
        if not weld.is_covered:
            found_here += procedure.missing(case)
            found_here += procedure.not_applicable(case)
        alone = persons.made_by_one_person(case)
        found_here += persons.findings(case, people, weld.needs[alone])
        if not alone or not weld.by_one:
            found_here += deposits.findings(case, people)
        found_here += passes.findings(case, weld.held)
        found_here += pass_sequence.findings(case, weld.attempts)
        found_here += all_round.findings(case)
        found_here += filler_issue.findings(case)
    if case.examinations:
        found_here += _examinations(case, alike, people)
        found_here += heat_treated.findings(case)
    if case.derived.due:
        found_here += examination.due(case)
    if case.derived.state != PLANNED or len(case.live) > 1:
        found_here += heats.findings(case)
    if joint.piece_a or joint.piece_b:
        found_here += pieces.findings(case)
    found_here += sequence.findings(case)
    if joint.examinations or joint.repairs:
        found_here += reasons.findings(case)
    found_here += confirmation.findings(case)
    if not joint.points:
        return case.derived, found_here
    found_here += points.findings(case)
    return case.derived._replace(waits=sum(one.waits for one in points.standings(case))), found_here


def _fit_up(case: Case, alike: Asked) -> list[Finding]:
    """The fit-up against the procedure's limits and the plan."""
    one = case.fit_up
    assert one is not None
    found_here: list[Finding] = []
    if departures := alike.of_fit_up.departures(one):
        # One finding a code: a gap too wide all round departs by its least and by its greatest reading.
        by_code = {asked.code: (asked, departure) for asked, departure in reversed(departures)}
        found_here += [out_of(case, asked, departure, one) for asked, departure in by_code.values()]
    return found_here + fit_up.identity(case, one)


def _examinations(case: Case, alike: Asked, people: People) -> list[Finding]:
    """Measurements of the current attempt against their limits, rejects, and who examined."""
    found_here: list[Finding] = []
    # A weld touched up and measured again is judged by the last measurement, a film by the last film.
    weld = film = None
    said = rejects = False
    for one in case.examinations:
        if one.leg_a_mm is not None or one.leg_b_mm is not None or one.undercut_mm is not None:
            weld = one
        if one.gap_on_film_mm is not None:
            film = one
        rejects = rejects or one.result == REJECTED
        said = said or bool(one.indications)
    for measured, held in ((weld, alike.of_weld), (film, alike.of_film)):
        if measured and (departures := held.departures(measured)):
            found_here += [out_of(case, asked, departure, measured) for asked, departure in departures]
    if rejects:
        found_here += examination.rejected(case)
    if said:
        found_here += indications.findings(case)
    found_here += examination.uncertified(case, people)
    return found_here
