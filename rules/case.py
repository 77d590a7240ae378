"""One joint under judgement: its facts, its state, and those of its records that still count."""

from collections.abc import Sequence
from dataclasses import dataclass

from rules.attempts import live
from rules.codes import SEVERITY
from rules.facts import ExaminationFacts, FitUpFacts, JobFacts, JointFacts, PassFacts
from rules.finding import Derived, Finding
from rules.source import Source
from rules.specification import Owners, owners_of
from rules.state import WITHDRAWN, derive, fit_up_of, is_welded


@dataclass(slots=True)
class Case:
    """What the rules look at.

    live           the attempts whose metal is in the line: since the last cut-out
    fit_up         the one the joint stands on
    passes         of the live attempts
    examinations   of the current attempt
    base_welded    whether the weld that the live repairs mend was completed
    owners         the owner's limits on this joint
    """

    joint: JointFacts
    job: JobFacts
    derived: Derived
    live: tuple[str, ...]
    fit_up: FitUpFacts | None
    passes: Sequence[PassFacts]
    examinations: Sequence[ExaminationFacts]
    base_welded: bool
    owners: Owners

    @property
    def begun(self) -> bool:
        """Whether anything was fitted, welded or examined on the live attempts."""
        return bool(self.fit_up or self.passes or self.examinations)


def open_case(joint: JointFacts, job: JobFacts, owners: Owners | None = None) -> Case:
    """Gather what counts of a joint's records.

    owners    the owner's limits on this joint, where the caller has them already
    """
    owners = owners_of(joint, job) if owners is None else owners
    derived = derive(joint, job, owners)
    attempts = derived.attempts
    if len(attempts) == 1:
        welded = derived.welded_on is not None
        fit_up = fit_up_of(joint, attempts)
        return Case(joint, job, derived, attempts, fit_up, joint.passes, joint.examinations, welded, owners)
    current = live(attempts)
    base_passes = [one for one in joint.passes if one.attempt == current[0]]
    base_examinations = [one for one in joint.examinations if one.attempt == current[0]]
    return Case(
        joint=joint,
        job=job,
        derived=derived,
        live=current,
        fit_up=fit_up_of(joint, attempts),
        passes=[one for one in joint.passes if one.attempt in current],
        examinations=[one for one in joint.examinations if one.attempt == derived.attempt],
        base_welded=is_welded(base_passes, base_examinations),
        owners=owners,
    )


def is_judged(case: Case) -> bool:
    """Whether there is anything to judge: a withdrawn joint and one that is only planned have no findings."""
    derived = case.derived
    return derived.state != WITHDRAWN and (case.begun or len(derived.attempts) > 1)


def found(
    case: Case,
    code: str,
    message: str,
    source: Source,
    *,
    attempt: str = "",
    record: str = "",
    measured: str = "",
    limit: str = "",
    unit: str = "",
    subject: str = "",
    steps: tuple[str, ...] = (),
    severity: str = "",
) -> Finding:
    """A finding on this joint, of the current attempt unless another is named."""
    return Finding(
        code=code,
        joint=case.joint.key,
        attempt=attempt or case.derived.attempt,
        record=record,
        severity=severity or SEVERITY[code],
        message=message,
        source=str(source),
        measured=measured,
        limit=limit,
        unit=unit,
        subject=subject,
        steps=steps,
        tables=source.tables,
    )
