"""Everything the joint card shows: the plan, what it asks, the drawings, the history and the findings."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from typing import Any
from uuid import UUID

from joints.queries.find_joint import stamps_of
from joints.queries.joint_asks import Ask, Plan, plan_of
from joints.queries.joint_history import Entry, History
from joints.queries.joint_section import Figure, Section, dial_of, section_of, without_limits
from joints.queries.joint_sides import Side, sides_of
from records.models import Examination, Finding, FitUp, Job, Joint, Override, Pass, Pick, Stamp, User
from reports.dial import dial_svg
from reports.section import section_svg
from rules.attempts import is_repair
from rules.coverage import is_all_round
from rules.facts import ExamRuleFacts, ProcedurePassFacts
from rules.indications import left_open
from rules.lots import EXTRA, SHORT
from rules.units import plain

ALL = Decimal(100)
# States of a joint that has its place in a lot.
IN_A_LOT = frozenset({"welded", "rejected", "accepted", "released"})
WEIGHT = {"stop": 0, "correct": 1, "note": 2}
ASKED = (
    ("fit-up", "At fit-up", "fit"),
    ("pass", "Of each pass", "weld"),
    ("examination", "At examination", "examine"),
    ("release", "Before the release", "release"),
)


@dataclass(frozen=True, slots=True)
class Chapter:
    """The records of one attempt."""

    attempt: str
    words: str
    entries: Sequence[Entry]


@dataclass(frozen=True, slots=True)
class AskGroup:
    """What is asked of one kind of record; the group of the next step stands open."""

    words: str
    asks: Sequence[Ask]
    is_next: bool


@dataclass
class Card:
    """One joint, which came with its plan, as its pages show it; at most twenty queries, each when first needed."""

    job: Job
    joint: Joint
    person: User

    @cached_property
    def plan(self) -> Plan:
        """What is planned of it and what it asks."""
        return plan_of(self.job, self.joint)

    @cached_property
    def history(self) -> History:
        """What was recorded on it."""
        return History(self.job, self.joint)

    @cached_property
    def findings(self) -> list[Finding]:
        """What speaks against it, the overridden last, each of them with its override and whoever wrote that."""
        found = sorted(Finding.objects.filter(joint=self.joint), key=_weighed)
        written = {row.id: row for row in self.history.rows if isinstance(row, Override)}
        for one in found:
            if one.override_id in written:
                one.override = written[one.override_id]
        return found

    @cached_property
    def stamps(self) -> Sequence[Stamp]:
        """The stamps that whoever looks at it welds under here."""
        return stamps_of(self.person, self.job)

    @property
    def crew(self) -> frozenset[UUID]:
        """The stamps that most likely weld it: whoever looks at it, and whoever it is assigned to."""
        assigned = {self.joint.assigned_id} if self.joint.assigned_id else set()
        return frozenset({one.id for one in self.stamps} | assigned)

    @cached_property
    def fit_up(self) -> FitUp | None:
        """The fit-up the joint stands on: the latest of its attempt, or for a repair the latest before."""
        rows = self.history.stand(FitUp, None if is_repair(self.joint.attempt) else self.joint.attempt)
        return rows[-1] if rows else None

    @cached_property
    def sides(self) -> tuple[Side, Side]:
        """Its pieces and heats."""
        return sides_of(self.joint, self.plan.joint, self.history.stand(FitUp))

    @cached_property
    def passes(self) -> list[Pass]:
        """The passes of the current attempt that stand, in order."""
        return sorted(self.history.stand(Pass, self.joint.attempt), key=lambda one: one.order)

    @property
    def next_order(self) -> int:
        """The order of the next pass; one that does not close the circle yet goes on under its own."""
        last = self.passes[-1] if self.passes else None
        if last is None:
            return 1
        goes_on = self.open_pass is not None or (last.role == "cap" and self.joint.state == "in progress")
        return last.order if goes_on else last.order + 1

    @property
    def open_pass(self) -> Pass | None:
        """The last pass where its segments do not close the circle yet, as far as they say."""
        last = self.passes[-1] if self.passes else None
        if last and not is_all_round([one for one in self.passes if one.order == last.order]):
            return last
        return None

    @cached_property
    def procedure_rows(self) -> Sequence[ProcedurePassFacts]:
        """The procedure's pass table, root first."""
        return self.plan.joint.procedure.passes if self.plan.joint.procedure else ()

    @cached_property
    def _section(self) -> Section:
        return section_of(self.joint, self.plan, self.fit_up)

    @cached_property
    def section(self) -> str:
        """The section as SVG, empty where the kind has none."""
        return section_svg(without_limits(self._section.drawn), title=f"Joint {self.joint.number} in section") or ""

    @cached_property
    def figures(self) -> Sequence[Figure]:
        """The numbers of the section, to read without the drawing."""
        return self._section.figures

    @cached_property
    def dial(self) -> str:
        """The dial as SVG, empty where no start and stop was recorded on this attempt."""
        passes = dial_of(self.passes)
        return dial_svg(passes, title="Starts and stops") if passes else ""

    @cached_property
    def asks(self) -> list[AskGroup]:
        """What the joint asks, by the record it is asked of."""
        step = self.joint.next_step.split()[0] if self.joint.next_step else ""
        return [
            AskGroup(words, found, step == when) for record, words, when in ASKED if (found := self.plan.asks(record))
        ]

    @cached_property
    def samples(self) -> list[str]:
        """Of each method that is asked of a share only: whether this joint was picked, by whom and why, or why not."""
        rules = [one for one in self.plan.exam_rules if one.share_percent < ALL]
        return [f"{one.method}, {plain(one.share_percent)} % by {one.plan}: {self._picked(one)}" for one in rules]

    def _picked(self, rule: ExamRuleFacts) -> str:
        picks = [row for row in self.history.stand(Pick, self.joint.attempt) if self._is_for(row, rule)]
        if picks:
            last = picks[-1]
            why = "; ".join(filter(None, (last.lot, last.draw, last.remark)))
            extra = " as an extra after a reject" if last.purpose == EXTRA else ""
            how = "at random" if last.how == "random" else last.how
            return f"picked {how}{extra} by {last.by} on {last.done_on}{f' ({why})' if why else ''}"
        looked = self.history.stand(Examination, self.joint.attempt)
        if any(self._is_for(row, rule) and row.result != "re-shoot" for row in looked):
            return "not picked: examined without a pick"
        if not rule.lot:
            return "not picked: the plan names no lot, so that no sample is held"
        if self.joint.state not in IN_A_LOT:
            return "not picked: a joint has its place in a lot once it is welded"
        if any(one.code == SHORT and one.message.startswith(f"{rule.method} ") for one in self.findings):
            return f"not picked: the sample of its lot (by {rule.lot}) is short, and any of its joints can still be"
        return f"not picked: the sample of its lot (by {rule.lot}) is complete with others"

    @staticmethod
    def _is_for(row: Any, rule: ExamRuleFacts) -> bool:
        return row.method == rule.method and (row.stage or "final") == rule.stage

    @cached_property
    def chapters(self) -> list[Chapter]:
        """The history by attempt, in the order in which the attempts began."""
        found: dict[str, list[Entry]] = {}
        for entry in self.history.entries:
            found.setdefault(entry.attempt, []).append(self._told(entry))
        return [Chapter(attempt, attempt_words(attempt), entries) for attempt, entries in found.items()]

    def _told(self, entry: Entry) -> Entry:
        """The entry, of an examination with what no limit decides of the indications written in it."""
        if entry.kind != "examination" or entry.struck:
            return entry
        return replace(entry, left_open=left_open(entry.remark, self.plan.joint, self.plan.job, entry.method))

    @property
    def attempt_words(self) -> str:
        """The current attempt in words."""
        return attempt_words(self.joint.attempt)


def attempt_words(attempt: str) -> str:
    """Return an attempt in words: "original", "repair 1", "re-weld 1 after a cut-out"."""
    if attempt == "0":
        return "original"
    return f"repair {attempt[1:]}" if is_repair(attempt) else f"re-weld {attempt[1:]} after a cut-out"


def _weighed(one: Finding) -> tuple[bool, int, int]:
    return one.override_id is not None, WEIGHT[one.severity], one.id
