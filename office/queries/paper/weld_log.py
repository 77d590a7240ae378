"""The weld log: every attempt at every joint, with who welded it, with what, and what was examined."""

from collections.abc import Iterator
from datetime import date
from itertools import groupby

from office.queries.paper.batches import joint_batches
from office.queries.paper.title import About
from office.queries.paper.words import day, joint_key, joint_ring, names
from records.facts import Library, joint_facts
from records.models import Joint
from reports.data import Ring, WeldLogData, WeldLogRow
from rules.attempts import sequence
from rules.facts import ExaminationFacts, JointFacts, PassFacts
from rules.size_words import show_pipe_size

ALSO = ("spool__mark", "spool_b__mark", "heat_a__number", "heat_b__number", "procedure__number")
LEFT_BEHIND = {"repair": "repaired", "cut-out": "cut out"}


def weld_log(about: About) -> WeldLogData:
    """Return the weld log of the scope; nine queries for each 2,000 joints, read as the paper is drawn."""
    return WeldLogData(about.title("Weld log", "weld log"), _rows(about))


def _rows(about: About) -> Iterator[WeldLogRow]:
    library = Library(about.job)
    for batch in joint_batches(about.scope, *ALSO):
        facts = joint_facts(library, [joint.id for joint in batch])
        for joint in batch:
            yield from attempts_of(joint, facts[joint.id], about.job.units)


def attempts_of(joint: Joint, facts: JointFacts, units: str) -> Iterator[WeldLogRow]:
    """Yield one row for each attempt; the last carries the joint's state. Sizes are named by the job's units."""
    attempts = sequence(facts)
    for index, attempt in enumerate(attempts):
        passes = [one for one in facts.passes if one.attempt == attempt]
        is_last = index == len(attempts) - 1
        yield WeldLogRow(
            ring=joint_ring(joint) if is_last else Ring("rejected", 1.0, index),
            joint=joint_key(joint),
            attempt=attempt,
            kind=joint.kind,
            size=show_pipe_size(joint.nps, joint.schedule, units),
            location=joint.location,
            spool="\n".join(spool.mark for spool in (joint.spool, joint.spool_b) if spool),
            heats=_heats(joint, facts, attempt),
            procedure=_procedure(joint, passes),
            stamps=stamps_by_role(passes),
            filler=names(*(one.filler_lot for one in passes)),
            date=day(_last_day(passes)),
            examinations="\n".join(result(one) for one in facts.examinations if one.attempt == attempt),
            state=joint.state if is_last else _left_behind(facts, attempt),
        )


def stamps_by_role(passes: list[PassFacts]) -> str:
    """Return who welded what, a line each: "root hot D11", "fill cap D15"; a role that several welded names each."""
    roles: dict[str, dict[str, None]] = {}
    for one in passes:
        roles.setdefault(one.role, {})[one.stamp] = None
    by_stamps = groupby(roles.items(), key=lambda role: " ".join(role[1]))
    return "\n".join(f"{' '.join(role for role, _ in group)} {stamps}" for stamps, group in by_stamps)


def result(one: ExaminationFacts) -> str:
    """Return an examination in a few words: "RT-12 rejected 2026-10-03", or "RT rejected 2026-10-03, report 7"."""
    if one.report.startswith(one.method):
        return f"{one.report} {one.result} {one.done_on.isoformat()}"
    report = f", {one.report}" if one.report else ""
    return f"{one.method} {one.result} {one.done_on.isoformat()}{report}"


def _heats(joint: Joint, facts: JointFacts, attempt: str) -> str:
    """The heats as read at the attempt's own fit-up, else as the weld list has them."""
    read = next((one for one in reversed(facts.fit_ups) if one.attempt == attempt), None)
    sides = []
    for listed, seen in ((joint.heat_a, read and read.heat_a_read), (joint.heat_b, read and read.heat_b_read)):
        sides.append(seen or (listed.number if listed else "–"))
    return " / ".join(sides) if sides != ["–", "–"] else ""


def _procedure(joint: Joint, passes: list[PassFacts]) -> str:
    named = names(*(one.procedure.number for one in passes if one.procedure))
    return named or (joint.procedure.number if joint.procedure else "")


def _last_day(passes: list[PassFacts]) -> date | None:
    return max((one.done_on for one in passes), default=None)


def _left_behind(facts: JointFacts, attempt: str) -> str:
    decided = next((one for one in facts.repairs if one.attempt == attempt), None)
    return LEFT_BEHIND[decided.decision] if decided else ""
