"""What an import wrote, what was built on it since, and what of it can be taken back."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.apps import apps
from django.db.models import Model, Q, QuerySet

from office.queries.imports import UNDO
from office.queries.paper.batches import in_chunks
from records.lookups import Keys
from records.models import MASTERS, Job, Joint, JournalEntry, Withdrawal, Work
from records.models.decision import IN_SHOP, ON_JOINTS

# In the order in which they are withdrawn: what rests on a record goes before it, and a joint goes last.
FACTS = ("attendance", "pick", "release", "override", "repairdecision", "examination", "pass", "fitup", "assignment")
KINDS = (*FACTS, *IN_SHOP)
ABOUT = {"pieceevent": "piece_id", "spoolstep": "spool_id", "lotmove": "lot_id"}
# Whom the foreman named for a joint rests on nothing that was imported.
_BUILT = tuple(kind for kind in ON_JOINTS if kind not in ("joint", "assignment"))
_NAMED = 3
_STAYS = (
    "Rows of the plan are not withdrawn: they stay, and count wherever a rule or a joint uses them. What is wrong in"
    " one is mended by importing it changed."
)
_LASTING = "It stays and keeps a qualification alive: nothing takes an entry of continuity back."
_CHUNK = 5_000
_PLURAL = {
    "pass": "passes", "fitup": "fit-ups", "repairdecision": "repair decisions", "pieceevent": "events of pieces",
    "spoolstep": "steps of spools", "lotmove": "moves of filler", "continuityentry": "entries of continuity",
    "ownerlimit": "limits of the specification", "procedurepass": "passes of procedures",
    "examrule": "rows of exam plans",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Undoable:
    """What an import wrote, as it stands now.

    taken   by kind, each record that would be withdrawn, with its joint where it is on one
    stays   what is not taken back, with how many and why
    blocks  a sentence for each thing that was built on it since; with one of them nothing is taken back
    """

    taken: dict[str, list[tuple[UUID, UUID | None]]]
    stays: tuple[tuple[str, int, str], ...]
    blocks: tuple[str, ...]

    @property
    def counted(self) -> list[tuple[str, int]]:
        """Each kind in words, with how many records of it would be withdrawn."""
        return [(words(kind), len(rows)) for kind, rows in self.taken.items() if rows]


def words(kind: str) -> str:
    """Return the word for several records of a kind."""
    return _PLURAL.get(kind) or str(apps.get_model("records", kind)._meta.verbose_name_plural)


def undo_of(applied: Work) -> Work | None:
    """Return what takes an import back, or did; one that failed counts no more; one query."""
    works = Work.objects.filter(job=applied.job, kind=UNDO, arguments__applied=str(applied.id))
    return works.exclude(state="failed").first()


def undoable(applied: Work) -> Undoable:
    """Return what of an import can be taken back; a number of queries that grows by one for each 5,000 joints."""
    job, (first, last) = applied.job, _span(applied)
    written = _written(job, Q(number__range=(first, last)))
    since = _written(job, Q(number__gt=last, kind__in=KINDS))
    gone = set(Withdrawal.objects.filter(job=job).values_list("record", flat=True))
    taken: dict[str, list[tuple[UUID, UUID | None]]] = {}
    corrections = 0
    blocks: list[str] = []
    for kind in KINDS:
        mine, older = _own(kind, written.get(kind, set()))
        taken[kind] = [one for one in mine if one[0] not in gone]
        corrections += older
    new = written.get("joint", set()) - _known_before(job, written.get("joint", set()), first)
    taken["joint"] = [(one, one) for one in sorted(new - gone)]
    blocks += _built_on_joints(taken, since, gone)
    blocks += _built_in_shop(taken, since, gone)
    return Undoable(taken, tuple(_staying(written, corrections, new)), tuple(blocks))


def _span(applied: Work) -> tuple[int, int]:
    last = int(applied.result["head"].partition(":")[0])
    return last - applied.result["entries"] + 1, last


def _written(job: Job, where: Q) -> dict[str, set[UUID]]:
    found: dict[str, set[UUID]] = {}
    for kind, subject in JournalEntry.objects.filter(where, job=job).values_list("kind", "subject").iterator():
        found.setdefault(kind, set()).add(UUID(subject))
    return found


def _records(kind: str) -> "QuerySet[Any]":
    return apps.get_model("records", kind)._default_manager.all()


def _own(kind: str, written: set[UUID]) -> tuple[list[tuple[UUID, UUID | None]], int]:
    """The latest of each record that the import made whole, and how many corrections of older records it wrote."""
    if not written:
        return [], 0
    about = "joint_id" if kind in FACTS else "id"
    rows = list(_records(kind).filter(id__among=Keys(written)).values_list("id", about, "replaces_id"))
    before = {key: replaced for key, _, replaced in rows}
    older = {key for key, replaced in before.items() if replaced and not _is_whole(key, before)}
    replaced = set(before.values())
    latest = [(key, joint if kind in FACTS else None) for key, joint, _ in rows if key not in older | replaced]
    return sorted(latest), len(older)


def _is_whole(key: UUID, before: dict[UUID, UUID | None]) -> bool:
    """Whether all that a record replaces was written by the import too."""
    at: UUID | None = key
    while at is not None and at in before:
        at = before[at]
    return at is None


def _known_before(job: Job, joints: set[UUID], first: int) -> set[UUID]:
    """The joints that the job had before: the import changed them."""
    found: set[UUID] = set()
    for some in in_chunks(joints, _CHUNK):
        entries = JournalEntry.objects.filter(kind="joint", subject__in=[one.hex for one in some], number__lt=first)
        found.update(map(UUID, entries.filter(job=job).values_list("subject", flat=True)))
    return found


def _built_on_joints(taken: dict[str, list[Any]], since: dict[str, set[UUID]], gone: set[UUID]) -> Iterator[str]:
    joints = {joint for rows in taken.values() for _, joint in rows if joint}
    built: Counter[UUID] = Counter()
    for kind in _BUILT:
        later = since.get(kind, set()) - gone
        if later and joints:
            rows = _records(kind).filter(id__among=Keys(later), replaced_by__isnull=True)
            built.update(one for one in rows.values_list("joint_id", flat=True) if one in joints)
    if built:
        named = Joint.objects.filter(id__in=sorted(built)[:_NAMED]).order_by("sort_key").select_related("sheet")
        said = ", ".join(f"{one.sheet.drawing}/{one.sheet.number}/{one.number}" for one in named)
        yield (
            f"{_many(len(built), 'joint has', 'joints have')} records made since the import, which rest on what it"
            f" wrote: {said}{' and others' if len(built) > _NAMED else ''}. Withdraw those on the joint card first."
        )


def _built_in_shop(taken: dict[str, list[Any]], since: dict[str, set[UUID]], gone: set[UUID]) -> Iterator[str]:
    for kind, about in ABOUT.items():
        later = since.get(kind, set()) - gone
        if not later or not taken[kind]:
            continue
        mine = Keys(one for one, _ in taken[kind])
        things = _records(kind).filter(id__among=mine).values_list(about, flat=True)
        built = _records(kind).filter(id__among=Keys(later), replaced_by__isnull=True, **{f"{about}__in": things})
        if count := built.count():
            yield (
                f"{_many(count, 'record was', 'records were')} made since the import of the same things"
                f" ({words(kind)}). Withdraw those first."
            )


def _staying(written: dict[str, set[UUID]], corrections: int, new: set[UUID]) -> Iterator[tuple[str, int, str]]:
    if changed := len(written.get("joint", set()) - new):
        yield "changed joints", changed, "A change of the plan is taken back by importing the row as it was."
    for model in MASTERS:
        kind = _kind(model)
        if kind != "joint" and (count := len(written.get(kind, ()))):
            yield words(kind), count, _LASTING if kind == "continuityentry" else _STAYS
    if corrections:
        yield "corrections of earlier records", corrections, "Correct the record once more, on its joint card."
    for kind, said in (("withdrawal", "A withdrawal is final; record again what was withdrawn."),
                       ("confirmation", "A confirmation is withdrawn on the page of its table.")):  # fmt: skip
        if count := len(written.get(kind, ())):
            yield words(kind), count, said


def _kind(model: type[Model]) -> str:
    return str(model._meta.model_name)


def _many(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"
