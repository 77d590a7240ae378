"""The heats and filler lots in a scope, with their certificates and the joints they are in."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from itertools import groupby
from uuid import UUID

from office.queries.paper.batches import BATCH, in_chunks
from office.queries.paper.title import About
from office.queries.paper.words import names
from office.queries.scope import Scope
from records.heats_read import as_read, heats_read
from records.models import FillerLot, Heat, Pass, Withdrawal
from reports.data import FillerRow, HeatListData, HeatRow
from rules.compare import folded
from rules.units import plain, shown

# Of one heat a list names so many joints; the weld log names every heat of every joint.
MOST_JOINTS = 60
FEW = 500

Key = tuple[str, str, str]


def heat_list(about: About) -> HeatListData:
    """Return the heats by number, then the filler lots; five queries.

    One more for each 500 heats or lots, and for each 2,000 joints.
    """
    return HeatListData(about.title("Heats and filler lots", "heat list"), _heats(about), _fillers(about))


def joints_of_heats(scope: Scope) -> dict[UUID, list[Key]]:
    """Return the joints that each heat is in, as read at fit-up, else as planned; two queries, one for each 2,000."""
    found: dict[UUID, list[Key]] = defaultdict(list)
    known = as_read(dict(Heat.objects.filter(job=scope.job).values_list("number", "id")))
    columns = ("id", "heat_a_id", "heat_b_id", "sheet__drawing", "sheet__number", "number")
    rows = scope.joints().exclude(state="withdrawn").values_list(*columns).iterator(chunk_size=BATCH)
    for some in in_chunks(rows):
        all_read = heats_read([row[0] for row in some])
        for joint, *planned, drawing, sheet, number in some:
            sides = {
                known.get(read) or known.get(folded(read)) if read else heat
                for heat, read in zip(planned, all_read.get(joint, ("", "")), strict=True)
            }
            for heat in sides:
                if heat is not None:
                    found[heat].append((drawing, sheet, number))
    return found


def joints_of_fillers(scope: Scope) -> dict[UUID, list[Key]]:
    """Return the joints that each filler lot was welded into; one query."""
    found: dict[UUID, list[Key]] = defaultdict(list)
    withdrawn = Withdrawal.objects.filter(kind="pass").values("record")
    passes = Pass.objects.filter(
        joint__in=scope.joints().order_by(), filler_lot__isnull=False, replaced_by__isnull=True
    )
    columns = ("joint__sort_key", "filler_lot_id", "joint__sheet__drawing", "joint__sheet__number", "joint__number")
    rows = passes.exclude(id__in=withdrawn).values_list(*columns).distinct().order_by("joint__sort_key")
    for _, lot, *key in rows.iterator(chunk_size=2000):
        found[lot].append(tuple(key))
    return found


def named(joints: list[Key]) -> str:
    """Return joints as few words: "OB-GL-201/1: 1, 2, 5"; beyond MOST_JOINTS only how many more there are."""
    shown_joints, more = joints[:MOST_JOINTS], len(joints) - MOST_JOINTS
    sheets = groupby(shown_joints, key=lambda key: key[:2])
    lines = [f"{drawing}/{sheet}: {', '.join(key[2] for key in keys)}" for (drawing, sheet), keys in sheets]
    return "\n".join([*lines, *([f"and {more} more"] if more > 0 else [])])


def _heats(about: About) -> Iterator[HeatRow]:
    joints = joints_of_heats(about.scope)
    for some in in_chunks(_in_order(Heat, joints), FEW):
        rows = Heat.objects.filter(id__in=some).select_related("certificate").order_by("number")
        yield from (_heat(heat, joints[heat.id], about.job.units) for heat in rows)


def _fillers(about: About) -> Iterator[FillerRow]:
    joints = joints_of_fillers(about.scope)
    for some in in_chunks(_in_order(FillerLot, joints), FEW):
        for lot in FillerLot.objects.filter(id__in=some).select_related("certificate").order_by("number"):
            yield FillerRow(
                lot=lot.number,
                classification=lot.classification,
                diameter=shown(lot.diameter_mm, "mm", about.job.units) if lot.diameter_mm else "",
                heat=lot.heat,
                certificate=lot.certificate.number if lot.certificate else "",
                joints=named(joints[lot.id]),
            )


def _in_order(model: type[Heat] | type[FillerLot], joints: Mapping[UUID, object]) -> list[UUID]:
    """The keys of those that are used, by number."""
    found: list[tuple[str, UUID]] = []
    for some in in_chunks(joints, FEW):
        found += model.objects.filter(id__in=some).values_list("number", "id")
    return [key for _, key in sorted(found)]


def _heat(heat: Heat, joints: list[Key], units: str) -> HeatRow:
    kind = "" if heat.analysis == "heat" else f"{heat.analysis} analysis: "
    return HeatRow(
        heat=heat.number,
        material=heat.material,
        maker=heat.manufacturer,
        item=names(heat.item, f"size {heat.size}" if heat.size else ""),
        certificate=heat.certificate.number if heat.certificate else "",
        chemistry=kind + ", ".join(f"{symbol} {percent}" for symbol, percent in heat.elements.items()),
        strength=", ".join(_strength(heat, units)),
        joints=named(joints),
    )


def _strength(heat: Heat, units: str) -> Iterator[str]:
    for label, value in (("tensile", heat.tensile_mpa), ("yield", heat.yield_mpa)):
        if value is not None:
            yield f"{label} {shown(value, 'MPa', units)}"
    if heat.elongation_percent is not None:
        yield f"elongation {plain(heat.elongation_percent)} %"
    if heat.hardness is not None:
        yield f"hardness {plain(heat.hardness)}"
