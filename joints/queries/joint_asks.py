"""What a joint asks before it is fitted, welded and examined, in the job's units, each figure with its source."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from records.clock import today_on
from records.confirmed import Confirmed, confirmed_on
from records.facts import Library, decisions_on, job_facts
from records.models import ExamRule, Heat, Job, Joint, ProcedurePass
from records.paper_rows import applies, exam_rule_facts, heat_facts, procedure_facts, procedure_pass_facts
from rules.facts import ExamRuleFacts, HeatFacts, JobFacts, JointFacts, ProcedureFacts
from rules.finding import Requirement
from rules.fitting_words import is_flange
from rules.judge import requirements
from rules.limits import listed, shown_bounds
from rules.persons import requirements as of_people
from rules.specification import exam_rules, owners_of

STEPS = {"fit-up": "Fit-up", "pass": "Passes", "examination": "Examination", "release": "Release"}


@dataclass(frozen=True, slots=True)
class Ask:
    """One thing a joint asks, as a person reads it: "Gap", "1/32 to 1/8 in", "WPS W-11" and the arithmetic.

    confirmed   who confirmed the table of the figure, or "unconfirmed"; empty where it comes from no table
    """

    id: str
    record: str
    label: str
    bounds: str
    source: str
    steps: tuple[str, ...]
    confirmed: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """A joint as it is planned: its facts with no records but decisions, the job's settings, and all it asks."""

    joint: JointFacts
    job: JobFacts
    requirements: tuple[Requirement, ...]
    confirmed: Confirmed

    @property
    def exam_rules(self) -> Sequence[ExamRuleFacts]:
        """The rules of the exam plan, with the shares that the owner asks for."""
        return exam_rules(self.joint, owners_of(self.joint, self.job))

    def asks(self, record: str = "") -> list[Ask]:
        """Everything asked of one kind of record, or of all."""
        wanted = [one for one in self.requirements if record in ("", one.record)]
        return [ask for one in wanted if (ask := asked(one, self.confirmed)).bounds]

    def ask(self, id: str) -> Ask | None:
        """What is asked under this id, if anything."""
        found = self.requirement(id)
        return asked(found, self.confirmed) if found else None

    def requirement(self, id: str) -> Requirement | None:
        """The requirement of this id, if there is one."""
        return next((one for one in self.requirements if one.id == id), None)


def plan_of(job: Job, joint: Joint) -> Plan:
    """Return what a joint asks; at most seven queries where the joint came `with_plan`, eleven where it was redone."""
    facts = joint_plan(job, joint)
    if joint.attempts > 1:
        facts.repairs = decisions_on(job, joint.id)
    settings = job_facts(job, today_on(job))
    return Plan(facts, settings, tuple(requirements(facts, settings)), confirmed_on(job))


def joint_plan(job: Job, joint: Joint) -> JointFacts:
    """Return a joint's facts without any record; one that needs the records asks `records.facts`."""
    library = Library(job)
    return JointFacts(
        key=f"{joint.sheet.drawing}/{joint.sheet.number}/{joint.number}",
        kind=joint.kind,
        location=joint.location,
        nps=joint.nps,
        schedule=joint.schedule,
        od_mm=joint.od_mm,
        wall_mm=joint.wall_mm,
        service=joint.line.fluid_service,
        severe_cyclic=joint.line.severe_cyclic,
        revision=joint.sheet.revision,
        socket_class=joint.socket_class,
        position=joint.position,
        procedure=_procedure(joint),
        heat_a=_heat(joint.heat_a),
        heat_b=_heat(joint.heat_b),
        in_flange=any(one is not None and is_flange(one.kind) for one in (joint.piece_a, joint.piece_b)),
        material_a=library.material(joint.material_a),
        material_b=library.material(joint.material_b),
        has_exam_plan=joint.line.exam_plan_id is not None,
        exam_rules=_exam_rules(joint),
        points=library.points_for(joint.line_id, joint.line.piping_class, joint.kind),
    )


def asked_of_people(job: Job, plan: Plan, stamps: set[UUID]) -> list[Requirement]:
    """Return until when these stamps may tack and weld the joint, or why they may not; constant queries."""
    return of_people(plan.joint, plan.job, Library(job).people(stamps)) if stamps else []


def asked(requirement: Requirement, confirmed: Confirmed) -> Ask:
    """Put one requirement into words."""
    return Ask(
        id=requirement.id,
        record=requirement.record,
        label=requirement.args.get("label", requirement.id),
        bounds=_bounds(requirement),
        source=str(requirement.source),
        steps=requirement.steps,
        confirmed=confirmed.words(requirement.source.tables),
    )


def _bounds(requirement: Requirement) -> str:
    args = requirement.args
    match requirement.test:
        case "range":
            return shown_bounds(requirement)
        case "one_of":
            return listed([str(name) for name in requirement.bounds], "or")
        case "order":
            return ", then ".join(str(name) for name in requirement.bounds)
        case "count_at_least":
            return f"at least {args['least']} {args['unit']}"
        case "dial_apart":
            return f"at least {_plain(args['least'])}° from the pass before"
        case "requires":
            return args.get("words", "to be recorded")
        case _:
            return ""


def _plain(text: str) -> str:
    return f"{Decimal(text).normalize():f}"


def _procedure(joint: Joint) -> ProcedureFacts | None:
    if joint.procedure is None:
        return None
    rows = ProcedurePass.objects.filter(procedure=joint.procedure).order_by("id")
    return procedure_facts(joint.procedure, [procedure_pass_facts(row) for row in in_order(rows)])


def in_order(rows: Iterable[ProcedurePass]) -> list[ProcedurePass]:
    """A procedure's passes as they are welded: root, hot, fill, cap."""
    order = {"root": 0, "hot": 1, "fill": 2, "cap": 3}
    return sorted(rows, key=lambda row: order[row.role])


def _heat(heat: Heat | None) -> HeatFacts | None:
    return heat_facts(heat) if heat else None


def _exam_rules(joint: Joint) -> Sequence[ExamRuleFacts]:
    if joint.line.exam_plan_id is None:
        return ()
    rows = ExamRule.objects.filter(plan_id=joint.line.exam_plan_id).select_related("plan").order_by("method", "id")
    return [exam_rule_facts(row) for row in rows if applies(row, joint.kind, joint.nps)]
