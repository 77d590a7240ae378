"""Whether a procedure covers a joint: base metals, thickness, deposit, diameter, kind, position and process."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from rules.acceptance import FILLET_KINDS
from rules.case import Case, found
from rules.facts import JobFacts, JointFacts, PassFacts, ProcedureFacts
from rules.finding import Finding
from rules.fit_up import wps
from rules.limits import listed
from rules.positions import allowed, needed
from rules.remember import Remembered
from rules.source import Source
from rules.units import SI, show_length

_ALL = "ALL"
SHORT_KINDS = {"bw": "butt", "sw": "socket"}


@dataclass(frozen=True, slots=True)
class Outside:
    """One variable of a joint that a procedure does not cover: what the joint has, what the procedure allows."""

    variable: str
    measured: str
    limit: str

    def __str__(self) -> str:
        return f"{self.variable} {self.measured}, {self.limit}"


_covered: Remembered[tuple[Outside, ...]] = Remembered()


def missing(case: Case) -> list[Finding]:
    """Welding with no procedure on the joint or on its passes: one finding for the joint."""
    if case.joint.procedure:
        return []
    bare = next((one for one in case.passes if one.procedure is None), None)
    if bare is None and (case.passes or not case.base_welded):
        return []
    told = "The joint is welded and names no procedure."
    if bare:
        told = f"Pass {bare.order} was welded on {bare.done_on} with no procedure on the joint or on the pass."
    source = Source("ASME B31.3", "", "328.2", "memory")
    record, attempt = (bare.id, bare.attempt) if bare else ("", "")
    return [
        found(
            case,
            "procedure-missing",
            told,
            source,
            attempt=attempt,
            record=record,
            measured="none",
            limit="a procedure",
        )
    ]


def not_applicable(case: Case) -> list[Finding]:
    """One finding for each procedure that was welded under and does not cover this joint, with every variable."""
    findings: list[Finding] = []
    told_of: set[tuple[int, str, str, str]] = set()
    for one in case.passes:
        procedure = one.procedure or case.joint.procedure
        if procedure is None:
            continue
        key = (id(procedure), one.process, one.position, one.role)
        if key in told_of:
            continue
        told_of.add(key)
        outside = outside_of(procedure, case.joint, case.job, one.process, one.position)
        if outside := (*outside, *_of_role(procedure, one)):
            findings.append(_finding(case, one, procedure, outside))
    # Of those that say the same the first counts.
    return list({(one.subject, one.message): one for one in reversed(findings)}.values())[::-1]


def outside_of(
    procedure: ProcedureFacts, joint: JointFacts, job: JobFacts, process: str = "", position: str = ""
) -> tuple[Outside, ...]:
    """Every variable of the joint that the procedure does not cover, for a process and position where given.

    What the joint does not say is not judged, nor what the procedure does not restrict.
    """
    a, b = joint.material_a, joint.material_b
    p_a, p_b = a.p_number if a else "", b.p_number if b else ""
    place = position or joint.position
    key = (joint.kind, joint.od_mm, joint.wall_mm, p_a, p_b, place, process, job.units)
    return _covered.get(
        procedure,
        key,
        _work_out,
        procedure,
        joint.kind,
        joint.od_mm,
        joint.wall_mm,
        p_a,
        p_b,
        place,
        process,
        job.units,
    )


def covers(
    procedure: ProcedureFacts,
    kind: str,
    od_mm: Decimal,
    wall_mm: Decimal,
    p_numbers: tuple[str, str],
    *,
    position: str = "",
    process: str = "",
    units: str = SI,
) -> tuple[Outside, ...]:
    """Every variable of a joint of this kind and size that the procedure does not cover.

    p_numbers   of both sides; an empty one is not known and not judged
    """
    return _work_out(procedure, kind, od_mm, wall_mm, *p_numbers, position, process, units)


def _work_out(
    procedure: ProcedureFacts,
    kind: str,
    od_mm: Decimal,
    wall_mm: Decimal,
    p_a: str,
    p_b: str,
    position: str,
    process: str,
    units: str,
) -> tuple[Outside, ...]:
    fillet = kind in FILLET_KINDS
    return (
        *_base_metals(procedure, p_a, p_b),
        *_sizes(procedure, od_mm, wall_mm, fillet, units),
        *_kind_and_position(procedure, kind, position, fillet),
        *_process(procedure, process),
    )


def _base_metals(procedure: ProcedureFacts, p_a: str, p_b: str) -> Iterator[Outside]:
    """Each side's P-Number must be among those of one side of the procedure, either way round."""
    one = {bare_p(p) for p in procedure.p_numbers}
    other = {bare_p(p) for p in procedure.p_numbers_b} or one
    a, b = bare_p(p_a), bare_p(p_b)
    if not one or _ALL in one | other or (not a and not b):
        return
    straight = (not a or a in one) and (not b or b in other)
    crossed = (not a or a in other) and (not b or b in one)
    if straight or crossed:
        return
    has = " to ".join(f"P-{p}" for p in (a, b) if p)
    lists = [listed([f"P-{p}" for p in sorted(side)], "or") for side in ((one,) if one == other else (one, other))]
    yield Outside("base metal", has, f"covers {' to '.join(lists)}")


def _sizes(procedure: ProcedureFacts, od_mm: Decimal, wall_mm: Decimal, fillet: bool, units: str) -> Iterator[Outside]:
    least, greatest = procedure.thickness_min_mm, procedure.thickness_max_mm
    wall = show_length(wall_mm, units)
    if least is not None and wall_mm < least:
        yield Outside("base thickness", wall, f"at least {show_length(least, units)}")
    if greatest is not None and wall_mm > greatest:
        yield Outside("base thickness", wall, f"at most {show_length(greatest, units)}")
    deposit = procedure.deposit_max_mm
    if deposit is not None and not fillet and len(procedure.processes) < 2 and wall_mm > deposit:
        yield Outside("deposit thickness", wall, f"at most {show_length(deposit, units)}")
    od = procedure.outside_diameter_min_mm
    if od is not None and od_mm < od:
        yield Outside("outside diameter", show_length(od_mm, units), f"at least {show_length(od, units)}")


def _kind_and_position(procedure: ProcedureFacts, kind: str, position: str, fillet: bool) -> Iterator[Outside]:
    kinds = [SHORT_KINDS.get(one.lower(), one.lower()) for one in procedure.joint_kinds]
    if kinds and "all" not in kinds and kind not in kinds:
        yield Outside("joint kind", kind, f"covers {listed(kinds)}")
    wanted = needed(position) if position else frozenset()
    if wanted - allowed(procedure.positions, fillet):
        yield Outside("position", position, f"covers {listed(list(procedure.positions))}")


def _process(procedure: ProcedureFacts, process: str) -> Iterator[Outside]:
    known = {one.upper() for one in procedure.processes}
    if process and known and _ALL not in known and process.upper() not in known:
        yield Outside("process", process, f"covers {listed(list(procedure.processes))}")


def _of_role(procedure: ProcedureFacts, one: PassFacts) -> Iterator[Outside]:
    """A process that the procedure has, but not for a pass of this kind: a root by SMAW where its row says GTAW."""
    process = one.process.upper()
    rows = {row.process.upper() for row in procedure.passes if row.role == one.role and row.process}
    if process and rows and process not in rows and not any(_process(procedure, one.process)):
        yield Outside(f"process of the {one.role}", one.process, f"asks for {listed(sorted(rows), 'or')}")


def bare_p(p_number: str) -> str:
    """A P-Number without its prefix: `P-8`, `P-No. 8` and `8` are 8."""
    plain = p_number.upper().replace(" ", "")
    for prefix in ("P-NO.", "PNO.", "P-NO", "P-", "P"):
        if plain.startswith(prefix):
            return plain[len(prefix) :]
    return plain


def _finding(case: Case, one: PassFacts, procedure: ProcedureFacts, outside: Sequence[Outside]) -> Finding:
    named = "; ".join(str(variable) for variable in outside)
    return found(
        case,
        "procedure-not-applicable",
        f"WPS {procedure.number} does not cover this joint: {named}.",
        wps(procedure),
        attempt=one.attempt,
        record=one.id,
        measured="; ".join(f"{variable.variable} {variable.measured}" for variable in outside),
        limit="; ".join(variable.limit for variable in outside),
        subject=procedure.number,
        steps=tuple(str(variable) for variable in outside),
    )
