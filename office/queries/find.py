"""Whatever a job has by the name, mark or number that somebody typed: joints, lines, spools, heats, people, reports."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db import connection
from django.db.models import CharField, Exists, F, OuterRef, Q, QuerySet, Value

from records.models import Examination, Heat, Job, Joint, Line, Piece, Sheet, Spool, Stamp, Withdrawal
from records.models.prefix_index import NOTHING, in_order
from records.sorting import natural_key
from rules.size_words import show_size

# Found of each kind; whoever looks for more types more, or goes on to the list.
MOST = 8
JOINT, SHEET, LINE, SPOOL, PIECE, HEAT, WELDER, REPORT = (
    "joint", "sheet", "line", "spool", "piece", "heat", "welder", "report",
)  # fmt: skip
KINDS = (JOINT, LINE, SHEET, SPOOL, PIECE, HEAT, WELDER, REPORT)


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing that was found.

    name      what it is called            about  what tells it from others of that name
    is_exact  the text is its whole name, not only the beginning
    """

    kind: str
    id: UUID
    name: str
    about: str
    is_exact: bool


@dataclass(frozen=True, slots=True)
class Group:
    """What was found of one kind, exact hits first; `is_more` says that there is more than these."""

    kind: str
    hits: tuple[Hit, ...]
    is_more: bool


def find(job: Job, text: str) -> tuple[Group, ...]:
    """Return what begins with a text, the kinds with an exact hit first; one query, with MOST rows of a kind.

    text  a joint's number or alias, drawing/sheet or drawing/sheet/joint, a line, a spool, a piece mark, a heat, a
          stamp or part of a welder's name, or the number of a report; upper or lower case alike
    """
    if not text:
        return ()
    first, *arms = _arms(job, text)
    hits: dict[str, list[Hit]] = {}
    # A joint may be found by its number and by its alias; a plain union leaves what is alike out.
    for kind, key, *told in first.union(*arms):
        hits.setdefault(kind, []).append(_hit(kind, key, told, text, job.units))
    for found in hits.values():
        found.sort(key=lambda one: (not one.is_exact, natural_key(one.name), one.about))
    groups = [Group(kind, tuple(hits[kind][:MOST]), len(hits[kind]) > MOST) for kind in KINDS if kind in hits]
    return tuple(sorted(groups, key=lambda group: not group.hits[0].is_exact))


def _arms(job: Job, text: str) -> Iterator[QuerySet[Any, Any]]:
    """One part of the union for each kind, of the same columns: kind, key and four texts."""
    number = ("number", "sheet__drawing", "sheet__number", "alias", "state")
    yield _arm(JOINT, _joints(job, text), *number)
    yield _arm(
        JOINT, _first(Joint.objects.filter(job=job, alias__gt=NOTHING, alias__istartswith=text), "alias"), *number
    )
    yield _arm(SHEET, _sheets(job, text), "drawing", "number", "revision", "line__number")
    yield _arm(LINE, _by_name(Line.objects.filter(job=job), "number", text), "number", "service", "nps")
    yield _arm(SPOOL, _by_name(Spool.objects.filter(job=job), "mark", text), "mark", "line__number", "state")
    yield _arm(
        PIECE, _by_name(Piece.objects.filter(job=job), "mark", text), "mark", "kind", "sheet__drawing", "sheet__number"
    )
    yield _arm(HEAT, _by_name(Heat.objects.filter(job=job), "number", text), "number", "material")
    welders = Stamp.objects.filter(job=job).filter(Q(code__istartswith=text) | Q(welder__name__icontains=text))
    yield _arm(WELDER, _first(welders, "code"), "code", "welder__name", "employer")
    yield _arm(
        REPORT, _reports(job, text), "report", "method", "joint__sheet__drawing", "joint__sheet__number",
        "joint__number", key="joint_id",
    )  # fmt: skip


def _joints(job: Job, text: str) -> QuerySet[Any]:
    joints = Joint.objects.filter(job=job)
    parts = [part.strip() for part in text.split("/")]
    if len(parts) < 3:
        return _by_name(joints, "number", text)
    # A drawing's number may itself hold a stroke: the last two parts are the sheet and the joint.
    drawing = "/".join(parts[:-2])
    sheets = Sheet.objects.filter(job=job, drawing__istartswith=drawing, number__iexact=parts[-2]).values("id")
    matching = joints.filter(sheet_id__in=sheets, number__istartswith=parts[-1])
    return joints.filter(id__in=matching.order_by("sort_key").values("id")[: MOST + 1])


def _sheets(job: Job, text: str) -> QuerySet[Any]:
    sheets = Sheet.objects.filter(job=job)
    drawing, stroke, number = (part.strip() for part in text.rpartition("/"))
    both = Q(drawing__istartswith=text)
    if stroke and drawing:
        both |= Q(drawing__istartswith=drawing, number__istartswith=number)
    return _first(sheets.filter(both), "drawing")


def _reports(job: Job, text: str) -> QuerySet[Any]:
    found = Examination.objects.filter(job=job, report__gt=NOTHING, report__istartswith=text)
    # Where no record was ever corrected, SQLite makes an index for a join to the corrections.
    newer = Examination.objects.filter(replaces=OuterRef("id"))
    gone = Withdrawal.objects.filter(kind="examination", record=OuterRef("id"))
    return _first(found.filter(~Exists(newer), ~Exists(gone)), "report")


def _by_name(rows: QuerySet[Any], field: str, text: str) -> QuerySet[Any]:
    return _first(rows.filter(**{f"{field}__istartswith": text}), field)


def _first(rows: QuerySet[Any], field: str) -> QuerySet[Any]:
    """The first rows in the order of the names, cut off inside, since SQLite lets no part of a union be cut off."""
    last = {"Joint": "sort_key", "Spool": "sort_key", "Piece": "sort_key", "Sheet": "number"}
    ordered = rows.order_by(in_order(field, connection.vendor), last.get(rows.model.__name__, "id"))
    return rows.model._default_manager.filter(id__in=ordered.values("id")[: MOST + 1]).order_by()


def _arm(kind: str, rows: QuerySet[Any], *texts: str, key: str = "id") -> QuerySet[Any, Any]:
    """The columns of one kind; where it has fewer texts than another the rest is empty."""
    columns: dict[str, Any] = {f"text_{place}": F(name) for place, name in enumerate(texts)}
    columns |= {f"text_{place}": Value("", output_field=CharField()) for place in range(len(texts), 5)}
    named = rows.order_by().annotate(of_kind=Value(kind, output_field=CharField()), key=F(key), **columns)
    return named.values_list("of_kind", "key", *(f"text_{place}" for place in range(5)))


def _hit(kind: str, key: UUID, told: list[str], text: str, units: str) -> Hit:
    """Word what was found, and say whether the text names it whole."""
    name, about, *others = _worded(kind, told[0], told[1], told[2], told[3], told[4], units)
    names = {one.casefold() for one in (name, told[0], *others)}
    return Hit(kind, key, name, about, " ".join(text.casefold().split()) in names)


def _worded(kind: str, name: str, two: str, three: str, four: str, five: str, units: str) -> tuple[str, ...]:
    """The name in full, what tells it from others, and what else it may be called."""
    if kind == JOINT:
        return f"{two}/{three}/{name}", _listed(four and f"alias {four}", five), four
    if kind == SHEET:
        return f"{name}/{two}", _listed(three and f"revision {three}", f"line {four}")
    if kind == LINE:
        return name, _listed(two, show_size(three, units))
    if kind == SPOOL:
        return name, _listed(f"line {two}", three)
    if kind == PIECE:
        return name, f"{two} · {three}/{four}"
    if kind == REPORT:
        return name, f"{two} of joint {three}/{four}/{five}"
    # A welder is called by name as well as by stamp.
    return (name, _listed(two, three), two) if kind == WELDER else (name, two)


def _listed(*words: str) -> str:
    return " · ".join(word for word in words if word)
