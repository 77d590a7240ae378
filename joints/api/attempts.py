"""The attempts at joints, derived from their records: there is no table of them."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any
from uuid import UUID

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from joints.queries.attempts import AttemptTold, attempts_of
from records.api.asker import Asker
from records.api.cursor import asked, page
from records.api.endpoints import ResourceView
from records.api.fields import as_stored, computed, day, flag, key, text
from records.api.record_fields import JOB
from records.api.resource import Resource
from records.models import Joint
from records.models.joint import STATES
from records.models.welding import DECISIONS

ATTEMPTS = Resource(
    "attempts",
    "Attempt",
    "One attempt at a joint: the original, a repair or a re-weld. A page holds all attempts of `limit` joints.",
    Joint,
    {
        "id": text("name", about="joint_id.attempt"),
        "job": JOB["job"],
        "joint_id": key("id"),
        "drawing": text("sheet__drawing"),
        "sheet": text("sheet__number"),
        "joint": text("number"),
        "attempt": text("label"),
        "is_current": flag("is_current"),
        "state": computed(("state",), serializers.ChoiceField, as_stored, choices=list(STATES), allow_null=True),
        "decision": computed(
            ("decision",), serializers.ChoiceField, as_stored, choices=list(DECISIONS), allow_null=True
        ),
        "decided_on": day("decided_on"),
    },
    filters=("joint_id",),
)  # fmt: skip
COLUMNS = ("id", "job_id", "job__code", "sheet__drawing", "sheet__number", "number", "attempts", "attempt", "state")


class AttemptsView(ResourceView):
    """GET: the attempts at the joints of one job, or of all that the person is on."""

    http_method_names = ["get", "head"]
    is_list = True
    resource = ATTEMPTS

    def get(self, request: Request) -> Response:
        """Answer {next, results}; two queries, and a constant number for each job with a joint that was redone."""
        asker = Asker(request)
        wanted = asked(request, asker, ATTEMPTS.filters)
        rows = Joint.objects.order_by().values(*COLUMNS)
        rows = rows.filter(job=wanted.job) if wanted.job else rows.filter(job__in=asker.jobs())
        if "joint_id" in wanted.filters:
            rows = rows.filter(id=wanted.filters["joint_id"])
        found, following = page(rows, ("id",), Joint, wanted, request)
        redone = attempts_of(_by_job(row for row in found if row["attempts"] > 1))
        told = [one for row in found for one in _told(row, redone.get(row["id"], ()))]
        return Response({"next": following, "results": told})


def _by_job(rows: Iterable[dict[str, Any]]) -> dict[UUID, list[UUID]]:
    found = defaultdict(list)
    for row in rows:
        found[row["job_id"]].append(row["id"])
    return found


def _told(row: dict[str, Any], attempts: Iterable[AttemptTold]) -> Iterable[dict[str, Any]]:
    for one in attempts or [AttemptTold(row["attempt"], "", None)]:
        is_current = one.label == row["attempt"]
        yield {
            "id": f"{row['id']}.{one.label}",
            "job": row["job__code"],
            "joint_id": row["id"],
            "drawing": row["sheet__drawing"],
            "sheet": row["sheet__number"],
            "joint": row["number"],
            "attempt": one.label,
            "is_current": is_current,
            "state": row["state"] if is_current else None,
            "decision": one.decision or None,
            "decided_on": one.decided_on,
        }
