"""The procedures of a job: what each covers, and what the joints that name it need."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db.models import Count

from records.models import Job, Joint, Procedure
from records.paper_rows import procedure_facts
from records.papers import Library
from reports.procedure_range import CELLS, BarRow, CellRow, RangeData, Tick
from rules.acceptance import FILLET_KINDS
from rules.facts import ProcedureFacts
from rules.positions import NAMES, allowed, in_words, needed
from rules.procedure import bare_p, covers
from rules.units import show_length

_SHORT = {"bw": "butt", "sw": "socket"}
# Of the needs that a procedure does not cover a page tells so many.
MOST_TOLD = 20


@dataclass(frozen=True, slots=True)
class Need:
    """Joints that are alike in all that a procedure's range speaks of: how many, and what they ask for."""

    kind: str
    od_mm: Decimal
    wall_mm: Decimal
    position: str
    p_a: str
    p_b: str
    joints: int
    outside: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ProcedureRange:
    """What a procedure covers, what its joints need, and how many of them it does not cover."""

    id: UUID
    facts: ProcedureFacts
    pqr: str
    needs: tuple[Need, ...]
    units: str

    @property
    def joints(self) -> int:
        """How many joints name it."""
        return sum(one.joints for one in self.needs)

    @property
    def outside(self) -> int:
        """How many of them it does not cover."""
        return sum(one.joints for one in self.needs if one.outside)

    @property
    def told(self) -> tuple[tuple[str, int], ...]:
        """What is not covered, with the number of joints, the most first."""
        counted: dict[str, int] = defaultdict(int)
        for need in self.needs:
            for words in need.outside:
                counted[words] += need.joints
        return tuple(sorted(counted.items(), key=lambda row: (-row[1], row[0]))[:MOST_TOLD])

    @property
    def thickness(self) -> str:
        """The base metal that it covers, in words."""
        return span(self.facts.thickness_min_mm, self.facts.thickness_max_mm, self.units)

    @property
    def words(self) -> tuple[tuple[str, str], ...]:
        """Its ranges in words, each with its name."""
        one = self.facts
        rows = (
            ("Thickness", self.thickness),
            ("Deposit", span(None, one.deposit_max_mm, self.units)),
            ("Outside diameter", span(one.outside_diameter_min_mm, None, self.units)),
            ("Positions", in_words(allowed(one.positions, fillet=False)) if one.positions else "all"),
            ("Progression", one.progression),
            ("Base metal", _p_words(one)),
            ("Joints", ", ".join(one.joint_kinds) or "all kinds"),
            ("Processes", " + ".join(one.processes)),
            ("Backing", one.backing),
            ("Heat treatment", one.pwht),
            ("Qualified by PQR", self.pqr),
        )
        return tuple((name, words) for name, words in rows if words)

    @property
    def picture(self) -> RangeData:
        """Its ranges as bars and cells, with what the joints need on them."""
        one, needs = self.facts, self.needs
        walls = _ticks(((need.wall_mm, need) for need in needs), "base thickness", self.units)
        diameters = _ticks(((need.od_mm, need) for need in needs), "outside diameter", self.units)
        return RangeData(
            bars=(
                BarRow("Thickness", *_ends(one.thickness_min_mm, one.thickness_max_mm, self.units), walls),
                BarRow("Outside diameter", *_ends(one.outside_diameter_min_mm, None, self.units), diameters),
            ),
            cells=(
                CellRow("Positions", _positions(one, needs)),
                CellRow("Base metal", _base_metals(one, needs)),
                CellRow("Joints", _kinds(one, needs)),
                CellRow("Processes", tuple((process, True, 0, False) for process in one.processes)),
            ),
        )

    @property
    def picture_words(self) -> str:
        """The picture for those who do not see it."""
        told = "; ".join(f"{name} {words}" for name, words in self.words)
        return f"Ranges of {self.facts.number}: {told}. {self.joints} joints, {self.outside} outside."


def ranges_of(job: Job, rows: Sequence[Procedure]) -> dict[UUID, ProcedureRange]:
    """Return the ranges of procedures, by id, with what their joints need; two queries.

    Their rows do not grow with the joints, only with how many of them differ in size, kind, position or material.
    """
    # A procedure that there is none of keeps the number of queries the same where the list is empty.
    needs = _needs(job, [UUID(int=0), *(row.id for row in rows)])
    found = {}
    for row in rows:
        facts = procedure_facts(row, ())
        judged = tuple(_judged(facts, one, job.units) for one in needs.get(row.id, ()))
        found[row.id] = ProcedureRange(row.id, facts, row.pqr, judged, job.units)
    return found


def _needs(job: Job, procedures: Sequence[UUID]) -> dict[UUID, list[Need]]:
    library = Library(job)
    # Read at once, so that a page costs the same whether a joint names a material or none does.
    library.own_materials  # noqa: B018
    joints = Joint.objects.filter(job=job, procedure_id__in=procedures).exclude(state="withdrawn").order_by()
    columns = ("procedure_id", "kind", "od_mm", "wall_mm", "position", "material_a", "material_b")
    found: dict[UUID, list[Need]] = defaultdict(list)
    for key, kind, od, wall, position, a, b, count in joints.values_list(*columns).annotate(count=Count("id")):
        p_a, p_b = (material.p_number if material else "" for material in map(library.material, (a, b)))
        found[key].append(Need(kind, od, wall, position, p_a, p_b, count))
    for rows in found.values():
        rows.sort(key=lambda one: (one.wall_mm, one.od_mm, one.kind, one.position, one.p_a, one.p_b))
    return found


def _judged(facts: ProcedureFacts, need: Need, units: str) -> Need:
    p_numbers = (need.p_a, need.p_b)
    outside = covers(facts, need.kind, need.od_mm, need.wall_mm, p_numbers, position=need.position, units=units)
    told = tuple(map(str, outside))
    return Need(need.kind, need.od_mm, need.wall_mm, need.position, need.p_a, need.p_b, need.joints, told)


def span(least: Decimal | None, greatest: Decimal | None, units: str) -> str:
    """A range of lengths in words: "1/16 in to 3/4 in", "up to 12 mm", "2-7/8 in or more"; nothing where open."""
    if least is not None and greatest is not None:
        return f"{show_length(least, units)} to {show_length(greatest, units)}"
    if greatest is not None:
        return f"up to {show_length(greatest, units)}"
    return f"{show_length(least, units)} or more" if least is not None else ""


def _p_words(one: ProcedureFacts) -> str:
    sides = [", ".join(f"P-{bare_p(p)}" for p in side) for side in (one.p_numbers, one.p_numbers_b) if side]
    return " to ".join(sides)


def _ends(least: Decimal | None, greatest: Decimal | None, units: str) -> tuple[float | None, float | None, str, str]:
    return (
        None if least is None else float(least),
        None if greatest is None else float(greatest),
        "" if least is None else show_length(least, units),
        "" if greatest is None else show_length(greatest, units),
    )


def _ticks(values: Iterable[tuple[Decimal, Need]], variable: str, units: str) -> tuple[Tick, ...]:
    counted: dict[Decimal, list[int]] = defaultdict(lambda: [0, 0])
    for value, need in values:
        counted[value][0] += need.joints
        if any(words.startswith(variable) for words in need.outside):
            counted[value][1] += need.joints
    return tuple(
        Tick(float(value), show_length(value, units), joints, bool(outside))
        for value, (joints, outside) in sorted(counted.items())
    )


def _positions(one: ProcedureFacts, needs: Sequence[Need]) -> CELLS:
    butt = allowed(one.positions, fillet=False)
    asked: dict[str, int] = defaultdict(int)
    outside: set[str] = set()
    for need in needs:
        letters = needed(need.position) if need.position else frozenset()
        for letter in letters:
            asked[letter] += need.joints
        outside |= letters - allowed(one.positions, need.kind in FILLET_KINDS)
    return tuple((NAMES[letter], letter in butt, asked[letter], letter in outside) for letter in "FHVO")


def _base_metals(one: ProcedureFacts, needs: Sequence[Need]) -> CELLS:
    held = {bare_p(p) for p in (*one.p_numbers, *one.p_numbers_b)}
    asked: dict[str, int] = defaultdict(int)
    outside: set[str] = set()
    for need in needs:
        for p in {bare_p(p) for p in (need.p_a, need.p_b) if p}:
            asked[p] += need.joints
            if any(words.startswith("base metal") for words in need.outside):
                outside.add(p)
    names = sorted(held | set(asked), key=lambda p: (len(p), p))
    is_all = "ALL" in held or not held
    return tuple((f"P-{p}", is_all or p in held, asked[p], p in outside and p not in held) for p in names)


def _kinds(one: ProcedureFacts, needs: Sequence[Need]) -> CELLS:
    held = [_SHORT.get(kind.lower(), kind.lower()) for kind in one.joint_kinds]
    asked: dict[str, int] = defaultdict(int)
    for need in needs:
        asked[need.kind] += need.joints
    is_all = not held or "all" in held
    names = [*dict.fromkeys(kind for kind in (*held, *sorted(asked)) if kind != "all")]
    return tuple((kind, is_all or kind in held, asked[kind], not (is_all or kind in held)) for kind in names)
