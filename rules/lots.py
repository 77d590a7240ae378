"""Lots of an exam rule that asks for a share: which welds stand together, and whether their sample is enough."""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from rules.codes import SEVERITY
from rules.extent import counted_welds, share
from rules.finding import Finding
from rules.progressive import ACCEPTED, IN_ALL, MOST_ROUNDS, PER_DEFECT, PER_EACH, Progress, progressive
from rules.progressive import SOURCE as PROGRESSIVE
from rules.source import Source
from rules.units import plain

JOB = "job"
BASES = ("line", "service", "fluid service", "sheet", "spool", "kind", "welder", "week", "month", JOB)
SAMPLE, EXTRA = "sample", "extra"
SHORT, EXTRA_DUE = "sample-short", "extra-examination-due"
LOT_CODES = (SHORT, EXTRA_DUE)
# What asks for most comes first.
STATES = ("extra examinations due", "sample short", "sample complete")
COUNTED = (
    "a weld counts toward the share where it was picked for the sample, or examined without any pick before its welder "
    "had a reject in the lot; extra examinations after a reject are counted apart"
)
_APART = re.compile(r"[,;+&/]|\band\b|\bper\b|\bby\b")
_NAMED = 6


@dataclass(frozen=True, slots=True)
class LotRule:
    """An exam rule that asks a share of the welds of each lot."""

    id: str
    plan: str
    kind: str  # a joint kind, or all
    method: str
    stage: str
    share_percent: Decimal
    basis: tuple[str, ...]
    size: int | None
    first_batch: str = PER_EACH  # what several rejects of the first sample ask, a setting of the job
    asked_by: str = ""  # the owner's specification, where the share is the owner's


@dataclass(frozen=True, slots=True)
class LotWeld:
    """One weld of a lot.

    values    of each basis that the rule may name: {"line": "GL-201", ...}
    first     when and by whose record it was first complete; its place in its lot never moves after that
    stands    False for a weld that was cut out or is being repaired: its reject still counts
    welders   everybody who welded it; charged: whoever welded what was examined
    result    of the rule's method, the first that is no re-shoot: accepted, rejected or empty
    picked    sample, extra or empty
    """

    id: str
    name: str
    sort_key: str
    values: Mapping[str, str]
    first: tuple[datetime, date]
    stands: bool
    attempt: str
    welders: tuple[str, ...]
    charged: tuple[str, ...] = ()
    result: str = ""
    examined: tuple[date, datetime] | None = None
    picked: str = ""


@dataclass(frozen=True, slots=True)
class Extras:
    """What a welder's rejects in a lot still ask for."""

    welder: str
    rejects: tuple[str, ...]
    progress: Progress
    serving: tuple[LotWeld, ...]

    @property
    def due(self) -> int:
        """Extra examinations still to be made."""
        return self.progress.due_now or 0


@dataclass(frozen=True, slots=True)
class Lot:
    """One lot and how its sample stands.

    needed    welds to examine by the share; counted: those examined toward it; pending: picked and not examined yet
    lacking   welders of whom nothing is examined
    """

    rule: LotRule
    name: str
    welds: tuple[LotWeld, ...]
    needed: int
    counted: int
    pending: int
    lacking: tuple[str, ...]
    extras: tuple[Extras, ...]
    steps: tuple[str, ...]

    @property
    def called(self) -> str:
        """The lot in a sentence: "lot of line GL-201"."""
        return lot_called(self.name)

    @property
    def group(self) -> str:
        """What its welds have in common; of a rule that sets a size, with the welds of other lots."""
        return self.name.rpartition(", no. ")[0] if self.rule.size else self.name

    @property
    def standing(self) -> tuple[LotWeld, ...]:
        """The welds that count: complete, neither cut out nor withdrawn."""
        return tuple(one for one in self.welds if one.stands)

    @property
    def short(self) -> int:
        """How many welds more must be examined at least."""
        return max(self.needed - self.counted, 1 if self.lacking else 0, 0)

    @property
    def extra_due(self) -> int:
        """Extra examinations that rejects still ask for."""
        return sum(one.due for one in self.extras)

    @property
    def to_pick(self) -> int:
        """How many welds are still to be picked for the sample."""
        picked = {who for one in self.welds if one.picked == SAMPLE and not one.result for who in one.welders}
        unseen = [who for who in self.lacking if who not in picked]
        return max(self.needed - self.counted - self.pending, 1 if unseen else 0, 0)

    @property
    def state(self) -> str:
        """Its state in a word or two."""
        due, short, complete = STATES
        if self.extra_due:
            return due
        return short if self.short else complete


def parse_basis(text: str, size: int | None) -> tuple[str, ...] | None:
    """The words of a lot basis, as "line", "line and week" or "service, welder"; a size alone makes lots of the job.

    None where no lot is named, or a word is not known; known words are BASES
    """
    parts = [" ".join(part.split()).lower() for part in _APART.split(text.lower())]
    words = [_singular(part) for part in parts if part]
    if not words:
        return (JOB,) if size else None
    return tuple(dict.fromkeys(words)) if all(word in BASES for word in words) else None


def _singular(word: str) -> str:
    return word if word in BASES else word.removesuffix("s")


def lots_of(rule: LotRule, welds: Iterable[LotWeld]) -> list[Lot]:
    """The lots of a rule, each judged.

    Welds go together by the basis, and where the rule has a size in the order in which they were first recorded as
    complete: a weld that comes later, or with an earlier date, never moves another to another lot.
    """
    groups: dict[str, list[LotWeld]] = defaultdict(list)
    for weld in welds:
        groups[", ".join(_named(word, weld) for word in rule.basis)].append(weld)
    found = []
    for name, group in sorted(groups.items()):
        ordered = sorted(group, key=lambda one: (*one.first, one.sort_key))
        size = rule.size or len(ordered)
        for number, start in enumerate(range(0, len(ordered), size), start=1):
            part = sorted(ordered[start : start + size], key=lambda one: one.sort_key)
            found.append(judge_lot(rule, f"{name}, no. {number}" if rule.size else name, part))
    return found


def _named(word: str, weld: LotWeld) -> str:
    if word == JOB:
        return "whole job"
    if word == "week":
        year, week, _ = weld.first[1].isocalendar()
        return f"week {year}-W{week:02}"
    if word == "month":
        return f"month {weld.first[1]:%Y-%m}"
    return f"{word} {weld.values.get(word) or 'none'}"


def lot_called(name: str) -> str:
    """A lot in a sentence: one that is named by what its welds share is the lot of that, any other bears its name."""
    if name.startswith("whole job"):
        return f"lot of the {name}"
    return f"lot of {name}" if name.startswith(tuple(f"{word} " for word in BASES)) else f"lot {name}"


def judge_lot(rule: LotRule, name: str, welds: Sequence[LotWeld]) -> Lot:
    """Hold the examinations of a lot against the share, against every welder, and against what rejects ask.

    Source    341.4.1: not less than the share, each welder represented; 341.3.4: progressive examination
    """
    standing = [one for one in welds if one.stands]
    needed = share(rule.share_percent, len(standing))
    sample, extras = _divided(welds)
    counted = sum(1 for one in sample if one.stands)
    examined = [one for one in standing if one.result]
    seen = {who for one in examined for who in one.welders}
    lacking = sorted({who for one in standing for who in one.welders} - seen) if rule.share_percent else []
    pending = sum(1 for one in standing if one.picked == SAMPLE and not one.result)
    steps = [f"{plain(rule.share_percent)} % of {counted_welds(len(standing))}, rounded up = {needed}"]
    apart = len(examined) - counted
    steps.append(f"examined: {len(examined)}" + (f", of which {apart} extra after a reject" if apart else ""))
    steps.append(f"counted toward the share: {counted}; {COUNTED}")
    if lacking:
        steps.append(f"each welder is represented: nothing examined of {_listed(lacking)}")
    found = _extras(welds, sample, extras, rule.first_batch)
    return Lot(rule, name, tuple(welds), needed, counted, pending, tuple(lacking), found, tuple(steps))


def _divided(welds: Sequence[LotWeld]) -> tuple[list[LotWeld], list[LotWeld]]:
    """The examined welds that belong to the sample, and those that are extra, each in the order of examination."""
    rejected_on: dict[str, date] = {}
    sample: list[LotWeld] = []
    extras: list[LotWeld] = []
    for day, one in sorted(((one.examined, one) for one in welds if one.examined), key=lambda pair: pair[0]):
        after = any(who in rejected_on and day[0] > rejected_on[who] for who in one.welders)
        is_extra = one.picked == EXTRA or (not one.picked and after)
        (extras if is_extra else sample).append(one)
        if one.result == "rejected":
            for who in one.charged:
                rejected_on.setdefault(who, day[0])
    return sample, extras


def _extras(
    welds: Sequence[LotWeld], sample: Sequence[LotWeld], extras: Sequence[LotWeld], first_batch: str
) -> tuple[Extras, ...]:
    found = []
    rejected = [one for one in (*sample, *extras) if one.result == "rejected"]
    for who in sorted({who for one in rejected for who in one.charged}):
        first = sum(1 for one in sample if one.result == "rejected" and who in one.charged)
        results = [one.result == "accepted" for one in extras if who in one.welders]
        serving = tuple(one for one in welds if one.stands and not one.result and who in one.welders)
        names = tuple(one.name for one in rejected if who in one.charged)
        found.append(Extras(who, names, _progress(first, results, len(serving), first_batch), serving))
    return tuple(found)


def _progress(rejects: int, results: Sequence[bool], available: int, first_batch: str) -> Progress:
    """Where the extras of a welder stand; a reject among those examined beyond what was asked begins anew."""
    rounds: list[list[bool]] = []
    left, defects = list(results), rejects
    while defects and len(rounds) < MOST_ROUNDS:
        asked = PER_DEFECT * (1 if not rounds and first_batch == IN_ALL else defects)
        rounds.append(left[:asked])
        left = left[asked:]
        if len(rounds[-1]) < asked:
            break
        defects = rounds[-1].count(False)
    of_all = [left] if defects and len(rounds) == MOST_ROUNDS else []
    progress = progressive(rejects, [*rounds, *of_all], available, first_batch)
    if progress.state == ACCEPTED and False in left:
        return _progress(1, left[left.index(False) + 1 :], available, first_batch)
    return progress


def lot_findings(lot: Lot) -> list[tuple[LotWeld, Finding]]:
    """What a lot says of its welds: a sample that is short of all, extra examinations of those of the same welder."""
    found: list[tuple[LotWeld, Finding]] = []
    if lot.short:
        source = Source(lot.rule.asked_by or f"exam plan {lot.rule.plan}", clause=_asked(lot.rule))
        measured, limit = f"{lot.counted} examined", f"{lot.needed} of {len(lot.standing)}"
        found += [(one, _finding(one, SHORT, told_short(lot), source, measured, limit, "", lot.steps))
                  for one in lot.standing]  # fmt: skip
    for extra in lot.extras:
        if not extra.due:
            continue
        measured = f"{len(extra.rejects)} rejected"
        limit = f"{extra.due} more"
        told = told_extra(lot, extra)
        found += [
            (one, _finding(one, EXTRA_DUE, told, PROGRESSIVE, measured, limit, extra.welder, extra.progress.steps))
            for one in lot.standing
            if extra.welder in one.welders
        ]
    return found


def told_short(lot: Lot) -> str:
    """Why a sample is short, and of whom the next pick must be."""
    told = (
        f"{_asked(lot.rule)} of the {lot.called} asks for {lot.needed} of its {counted_welds(len(lot.standing))}, and"
        f" {lot.counted} {'is' if lot.counted == 1 else 'are'} examined"
    )
    if lot.lacking:
        told += f"; nothing is examined of {_listed(lot.lacking)}"
    return f"{told}."


def told_extra(lot: Lot, extra: Extras) -> str:
    """What a reject asks for next, and which joints can serve."""
    names = [one.name for one in extra.serving]
    more = f"; {_listed(names)} can serve" if names else ""
    return (
        f"{lot.rule.method} rejected {_listed(extra.rejects)} by {extra.welder}: {extra.due} more of this welder in the"
        f" {lot.called} {'is' if extra.due == 1 else 'are'} to be examined{more}."
    )


def _asked(rule: LotRule) -> str:
    return f"{rule.method} {plain(rule.share_percent)} %"


def _listed(names: Sequence[str]) -> str:
    shown = list(names[:_NAMED]) + ([f"{len(names) - _NAMED} others"] if len(names) > _NAMED else [])
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


def _finding(
    weld: LotWeld, code: str, told: str, source: Source, measured: str, limit: str, subject: str, steps: tuple[str, ...]
) -> Finding:
    return Finding(
        code=code,
        joint=weld.name,
        attempt=weld.attempt,
        record="",
        severity=SEVERITY[code],
        message=told,
        source=str(source),
        measured=measured,
        limit=limit,
        subject=subject,
        steps=steps,
    )
