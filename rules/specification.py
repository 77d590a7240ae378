"""The owner's specification of a job: the one place where its limits meet those of the code and of the procedure."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cached_property, lru_cache

from rules.facts import ExamRuleFacts, JobFacts, JointFacts, SpecificationFacts
from rules.remember import Remembered
from rules.source import Source
from rules.units import (
    GREATEST,
    LEAST,
    UnitError,
    figure,
    parse_degrees,
    parse_heat_input,
    parse_length,
    parse_number,
    parse_temperature,
    plain,
    shown,
)

TIGHTENED, REPLACED, WITHDRAWN = "tightened", "replaced", "withdrawn"
MODES = (TIGHTENED, REPLACED, WITHDRAWN)
GROOVE = "groove"
GROOVES = frozenset({"butt", "branch", "olet"})
SEVERE_CYCLIC = "Severe cyclic"
CODE, PROCEDURE, PLAN, NOBODY = "code", "procedure", "exam plan", ""


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit that an owner can set.

    name    as the workbook writes it: "gap max"
    words   as a person reads it
    bound   least or greatest
    unit    mm, °C, kJ/mm, °, %, passes, repairs
    beside  who else limits it: the code, the procedure, the exam plan, or nobody
    """

    name: str
    words: str
    bound: str
    unit: str
    beside: str = NOBODY


_SHARED = ("VT", "RT", "PT", "MT", "UT")
LIMITS: Mapping[str, Limit] = {
    one.name: one
    for one in (
        Limit("gap min", "Least gap or root opening before welding", LEAST, "mm", PROCEDURE),
        Limit("gap max", "Greatest gap or root opening before welding", GREATEST, "mm", PROCEDURE),
        Limit("gap on film min", "Least gap after welding, read on the film", LEAST, "mm"),
        Limit("gap on film max", "Greatest gap after welding, read on the film", GREATEST, "mm"),
        Limit("squareness max", "Greatest difference of the gap round the pipe", GREATEST, "mm", PROCEDURE),
        Limit("high-low max", "Greatest high-low", GREATEST, "mm", PROCEDURE),
        Limit("leg min", "Least leg of a fillet", LEAST, "mm", CODE),
        Limit("undercut max", "Greatest undercut", GREATEST, "mm", CODE),
        Limit("porosity max", "Greatest pore", GREATEST, "mm", CODE),
        Limit("surface porosity max", "Greatest pore at the surface", GREATEST, "mm", CODE),
        Limit("slag max", "Greatest length of slag or another elongated indication", GREATEST, "mm", CODE),
        Limit("reinforcement max", "Greatest reinforcement", GREATEST, "mm", CODE),
        Limit("preheat min", "Least preheat", LEAST, "°C", PROCEDURE),
        Limit("interpass max", "Greatest interpass temperature", GREATEST, "°C", PROCEDURE),
        Limit("heat input max", "Greatest heat input", GREATEST, "kJ/mm", PROCEDURE),
        Limit("passes min", "Least number of passes", LEAST, "passes", PROCEDURE),
        Limit("stop spacing min", "Least spacing of starts and stops of neighbouring passes", LEAST, "°", PROCEDURE),
        Limit("repairs max", "Greatest number of repairs of a joint", GREATEST, "repairs"),
        *(Limit(f"{one} share min", f"Least share of welds examined by {one}", LEAST, "%", PLAN) for one in _SHARED),
    )
}


@dataclass(frozen=True, slots=True)
class Bound:
    """A limit's figure with its source; `text` is how it is shown where that is not the figure itself."""

    value: Decimal
    source: Source
    steps: tuple[str, ...] = ()
    text: str = ""


@dataclass(frozen=True, eq=False)
class Owners:
    """The owner's limits on joints of one kind and service; equal only to itself, so that it is a cheap key."""

    limits: Mapping[str, SpecificationFacts] = field(default_factory=dict)

    def __bool__(self) -> bool:
        """Whether the owner limits anything here."""
        return bool(self.limits)

    @cached_property
    def sets_shares(self) -> bool:
        """Whether the owner asks for shares of his own."""
        return any(f"{method} share min" in self.limits for method in _SHARED)


NOTHING = Owners()
_narrowed: Remembered[Owners] = Remembered()
_rules: Remembered[tuple[ExamRuleFacts, ...]] = Remembered()


@lru_cache(maxsize=256)
def shared(rows: tuple[SpecificationFacts, ...]) -> tuple[SpecificationFacts, ...]:
    """The same rows, as one object for all who have them: what is worked out from them is kept by its identity."""
    return rows


def owners_of(joint: JointFacts, job: JobFacts) -> Owners:
    """The limits that the job's specification sets on this joint: of each limit the row that names it most closely."""
    if not job.specification:
        return NOTHING
    group = (joint.kind, joint.service, joint.severe_cyclic)
    return _narrowed.get(job.specification, group, narrowed, job.specification, *group)


def narrowed(rows: Sequence[SpecificationFacts], kind: str, service: str, severe_cyclic: bool) -> Owners:
    """The rows that speak of joints of this kind and service; the kind narrows before the service does."""
    found: dict[str, tuple[tuple[int, int], SpecificationFacts]] = {}
    for row in rows:
        of_kind = _kind_rank(row.joint_kind, kind)
        of_service = _service_rank(row.service, service, severe_cyclic)
        if of_kind is None or of_service is None:
            continue
        rank = (of_kind, of_service)
        if row.limit not in found or rank > found[row.limit][0]:
            found[row.limit] = (rank, row)
    return Owners({name: row for name, (_, row) in found.items()}) if found else NOTHING


def crossed(rows: Sequence[SpecificationFacts]) -> list[tuple[SpecificationFacts, SpecificationFacts]]:
    """Pairs of a least over its greatest that meet on some joint, so that nothing can satisfy both; each pair once."""
    named = {row.joint_kind for row in rows}
    kinds = {"", *(named - {GROOVE}), *(GROOVES if GROOVE in named else ())}
    services = {(row.service, False) for row in rows if row.service != SEVERE_CYCLIC} | {("", False), ("", True)}
    services |= {(service, True) for service, _ in services}
    found: list[tuple[SpecificationFacts, SpecificationFacts]] = []
    for kind in sorted(kinds):
        for service, severe_cyclic in sorted(services):
            limits = narrowed(rows, kind, service, severe_cyclic).limits
            pairs = ((limits.get(least), limits.get(greatest)) for least, greatest in _PAIRS)
            found += [(one, other) for one, other in pairs if one and other and one.value > other.value]
    return list(dict.fromkeys(found))


_PAIRS = (("gap min", "gap max"), ("gap on film min", "gap on film max"))


def crossed_words(least: SpecificationFacts, greatest: SpecificationFacts, units: str) -> str:
    """A sentence of warning on a least that is over its greatest."""
    low, high = (f"{shown(row.value, 'mm', units)} ({source_of(row)})" for row in (least, greatest))
    return f"The least, {low}, is over the greatest, {high}: no gap satisfies both."


def gap_called(kind: str) -> str:
    """What is set between two pieces before welding is called: a groove weld has a root opening, any other a gap."""
    return "root opening" if kind in GROOVES else "gap"


def _kind_rank(asked: str, kind: str) -> int | None:
    if not asked:
        return 0
    if asked == GROOVE:
        return 1 if kind in GROOVES else None
    return 2 if asked == kind else None


def _service_rank(asked: str, service: str, severe_cyclic: bool) -> int | None:
    if not asked:
        return 0
    if asked == SEVERE_CYCLIC:
        return 2 if severe_cyclic else None
    return 1 if asked == service else None


def source_of(row: SpecificationFacts, note: str = "") -> Source:
    """The specification and clause as the engineer typed them."""
    return Source(f"Owner's specification {row.specification}", clause=row.clause, state="owner", note=note)


def governing(owners: Owners, name: str, given: Bound | None, units: str) -> Bound | None:
    """The bound that holds where the code or the procedure gives one and the owner another.

    given   of the code or the procedure, None where they set none
    A tightened limit is the stricter of the two. A replaced one is the owner's, and says where it is looser.
    """
    row = owners.limits.get(name)
    if row is None:
        return given
    own = Bound(row.value, source_of(row))
    if given is None:
        return own
    both = f"{called(given.source)}: {figure_of(given, name, units)}; owner: {figure_of(own, name, units)}"
    if not is_looser(name, row.value, given.value):
        told = "" if row.value == given.value else "the owner's figure is the stricter and governs"
        return replace(own, steps=_told(given.steps, both, told))
    if row.mode == REPLACED:
        note = f"looser than {given.source}"
        return replace(
            own, source=source_of(row, note), steps=_told(given.steps, both, f"the owner's figure replaces it, {note}")
        )
    stands = f"the figure of the {_whose(given.source)} is the stricter and stands"
    return replace(given, steps=_told(given.steps, both, stands))


def is_looser(name: str, one: Decimal, other: Decimal) -> bool:
    """Whether a figure of this limit accepts what the other rejects."""
    return one < other if LIMITS[name].bound == LEAST else one > other


def called(source: Source) -> str:
    """Whose figure it is, in a word or two: "code", "WPS W-11"."""
    return "code" if _is_code(source) else source.code


def figure_of(bound: Bound, name: str, units: str) -> str:
    """A bound's figure as a person of this job reads it."""
    if bound.text:
        return bound.text
    return _written(bound.value, LIMITS[name].unit, units)


def parse_limit(name: str, text: str, units: str) -> Decimal:
    """The figure of a limit as typed, in the unit it is kept in; a bare number is in the job's units.

    Raises UnitError for what is no such quantity, or can be no such limit
    """
    unit = LIMITS[name].unit
    value = _READERS[unit](text, units) if unit in _READERS else parse_number(text.strip().removesuffix("%"))
    least, most = _LEAST.get(unit, Decimal(0)), _MOST[_SMALL if name in _OF_A_GAP else unit]
    if not least <= value <= most:
        span = f"{figure(least, unit, units)} to {_written(most, unit, units)}"
        raise UnitError(f'"{text}" can be no limit here; accepted are figures from {span}.')
    if unit in _COUNTS and value != value.to_integral_value():
        raise UnitError(f'"{text}" is no whole number; accepted are 1, 2, 3.')
    return value


_COUNTS = ("passes", "repairs")
_READERS: Mapping[str, Callable[[str, str], Decimal]] = {
    "mm": parse_length,
    "°C": parse_temperature,
    "kJ/mm": parse_heat_input,
    "°": lambda text, _: parse_degrees(text),
}
# What no such limit of the trade comes near.
_SMALL = "mm of a gap"
_OF_A_GAP = frozenset(
    ("gap min", "gap max", "gap on film min", "gap on film max", "squareness max", "high-low max", "undercut max",
     "porosity max", "surface porosity max", "reinforcement max")
)  # fmt: skip
_LEAST: Mapping[str, Decimal] = {"°C": Decimal(-50)}
_MOST: Mapping[str, Decimal] = {
    _SMALL: Decimal("25.4"), "mm": Decimal(100), "°C": Decimal(500), "kJ/mm": Decimal(100), "°": Decimal(180),
    "%": Decimal(100), "passes": Decimal(99), "repairs": Decimal(99),
}  # fmt: skip


def _written(value: Decimal, unit: str, units: str) -> str:
    return f"{plain(value)}{unit}" if unit in ("°", "%") else shown(value, unit, units)


def _is_code(source: Source) -> bool:
    return source.code.startswith(("ASME", "EN ", "ISO "))


def _whose(source: Source) -> str:
    return "code" if _is_code(source) else source.code


def _told(before: tuple[str, ...], *steps: str) -> tuple[str, ...]:
    return (*before, *(step for step in steps if step))


def exam_rules(joint: JointFacts, owners: Owners) -> Sequence[ExamRuleFacts]:
    """The rules of the joint's exam plan, with the shares that the owner asks for in their place."""
    if not owners.sets_shares:
        return joint.exam_rules
    return _rules.get(joint.exam_rules, owners, with_shares, joint.exam_rules, owners)


def with_shares(rules: Sequence[ExamRuleFacts], owners: Owners) -> tuple[ExamRuleFacts, ...]:
    """The rules of an exam plan with the shares that the owner asks for in their place."""
    found = list(rules)
    for method in _SHARED:
        row = owners.limits.get(f"{method} share min")
        if row is None:
            continue
        places = [place for place, one in enumerate(found) if one.method == method and one.stage in ("", "final")]
        for place in places:
            if row.mode == REPLACED or row.value > found[place].share_percent:
                found[place] = replace(found[place], share_percent=row.value, asked_by=str(source_of(row)))
        if not places:
            found.append(ExamRuleFacts("", method, row.value, asked_by=str(source_of(row))))
    return tuple(found)
