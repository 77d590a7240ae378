"""The lots of exam rules that ask a share, derived from plan and records: there is no table of them."""

from collections.abc import Iterator
from typing import Any
from uuid import UUID

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from records.api.asker import Asker
from records.api.cursor import asked, following_at, place_of
from records.api.endpoints import ResourceView
from records.api.fields import Field, as_stored, computed, key, number, text, whole, words_of
from records.api.resource import Resource
from records.facts import Library
from records.lots import lots_touching
from records.models import ExamRule, Job
from rules.lots import Lot

STATES = ("extra examinations due", "sample short", "sample complete")
_FIELDS: dict[str, Field] = {
    "id": text("id", about="rule_id.lot"),
    "job": text("job"),
    "rule_id": key("rule_id", about="The rule under exam-plans"),
    "plan": text("plan"),
    "method": text("method"),
    "joint_kind": text("joint_kind"),
    "stage": text("stage"),
    "share_percent": number("share_percent"),
    "lot": text("lot"),
    "state": computed(("state",), serializers.ChoiceField, as_stored, choices=list(STATES)),
    "welds": whole("welds"),
    "needed": whole("needed"),
    "counted": whole("counted"),
    "pending": whole("pending"),
    "to_pick": whole("to_pick"),
    "extra_due": whole("extra_due"),
    "welders_lacking": words_of("welders_lacking"),
    "joints": words_of("joints", about="drawing/sheet/number of each weld"),
    "steps": words_of("steps", about="The arithmetic"),
}
LOTS = Resource(
    "lots",
    "Lot",
    "Welds that stand together for an exam rule that asks a share, and how their sample stands.",
    ExamRule,
    _FIELDS,
    filters=(),
)


class LotsView(ResourceView):
    """GET: the lots of one job, or of all that the person is on, in the order of job and id."""

    http_method_names = ["get", "head"]
    is_list = True
    resource = LOTS

    def get(self, request: Request) -> Response:
        """Answer {next, results}; a constant number of queries for each job whose lots the page holds."""
        asker = Asker(request)
        wanted = asked(request, asker, LOTS.filters)
        after = place_of(wanted.cursor, 2)
        jobs = sorted([wanted.job] if wanted.job else asker.jobs(), key=str)
        found: list[tuple[tuple[str, str], dict[str, Any]]] = []
        for key_of_job in jobs:
            if after and str(key_of_job) < after[0]:
                continue
            rows = _rows(asker.job_of(key_of_job))
            found += [(place, row) for place, row in rows if after is None or place > after]
            if len(found) > wanted.limit:
                break
        shown = found[: wanted.limit]
        following = following_at(request, shown[-1][0]) if len(found) > wanted.limit else None
        return Response({"next": following, "results": [row for _, row in shown]})


def _rows(job: Job) -> Iterator[tuple[tuple[str, str], dict[str, Any]]]:
    rows = [_told(job, lot) for lot in lots_touching(job, None, Library(job))]
    return iter(sorted((((str(job.id), row["id"]), row) for row in rows), key=lambda pair: pair[0]))


def _told(job: Job, lot: Lot) -> dict[str, Any]:
    rule = lot.rule
    return {
        "id": f"{UUID(rule.id)}.{lot.name}",
        "job": job.code,
        "rule_id": str(UUID(rule.id)),
        "plan": rule.plan,
        "method": rule.method,
        "joint_kind": rule.kind,
        "stage": rule.stage,
        "share_percent": float(rule.share_percent),
        "lot": lot.name,
        "state": lot.state,
        "welds": len(lot.standing),
        "needed": lot.needed,
        "counted": lot.counted,
        "pending": lot.pending,
        "to_pick": lot.to_pick,
        "extra_due": lot.extra_due,
        "welders_lacking": list(lot.lacking),
        "joints": [one.name for one in lot.welds],
        "steps": list(lot.steps),
    }
