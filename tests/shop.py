"""A shop of any size: a piece and a spool for each joint and line of a job, with one of each record of the shop."""

from typing import Any

from django.db.models import OuterRef, Subquery
from django.utils import timezone

from records.models import FillerLot, Job, Joint, Line, LotMove, Piece, PieceEvent, Spool, SpoolStep, Stamp, User


def stock(job: Job, by: User) -> dict[str, Any]:
    """Give each joint a piece and each line a spool; return the ids that the shop's routes take."""
    joints = (
        Joint.objects.filter(job=job).order_by("sort_key").values_list("sheet_id", "number", "sort_key", "heat_a_id")
    )
    Piece.objects.bulk_create(
        Piece(job=job, sheet_id=sheet, mark=number, kind="pipe", nps="1", sort_key=key, heat_id=heat)
        for sheet, number, key, heat in joints
    )
    Spool.objects.bulk_create(
        Spool(job=job, line=line, mark=f"SP-{line.number}", sort_key=line.number)
        for line in Line.objects.filter(job=job)
    )
    piece = Piece.objects.filter(sheet=OuterRef("sheet"), mark=OuterRef("number")).values("id")
    spool = Spool.objects.filter(line=OuterRef("line"), mark__startswith="SP-").order_by("-id").values("id")
    Joint.objects.filter(job=job).update(piece_a=Subquery(piece[:1]), spool=Subquery(spool[:1]))
    return records(job, by)


def records(job: Job, by: User) -> dict[str, Any]:
    """Record one event, step and move on the job's first piece, spool and lot; return the ids."""
    now = timezone.now()
    said: dict[str, Any] = {"job": job, "recorded_by": by, "recorded_at": now, "done_on": now.date(), "by": "Store"}
    piece = Piece.objects.filter(job=job).order_by("sort_key", "id")[0]
    spool = Spool.objects.filter(job=job).order_by("sort_key", "id")[0]
    lot = FillerLot.objects.filter(job=job).order_by("number")[0]
    stamp = Stamp.objects.filter(job=job).order_by("code")[0]
    return {
        "heat": piece.heat_id,
        "piece": piece.id,
        "event": PieceEvent.objects.create(piece=piece, event="received", **said).id,
        "spool": spool.id,
        "step": SpoolStep.objects.create(spool=spool, step="shipped", **said).id,
        "lot": lot.id,
        "move": LotMove.objects.create(lot=lot, move="issued", stamp=stamp, **said).id,
    }
