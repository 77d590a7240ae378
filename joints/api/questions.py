"""What a program may ask of one joint: who may weld it, and what it asks before each record."""

from typing import Any
from uuid import UUID

from django.http import Http404
from django.utils.decorators import method_decorator
from django.views.decorators.cache import never_cache
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from joints.queries.find_joint import PLAN
from joints.queries.joint_asks import Ask, asked, plan_of
from joints.queries.who_may_weld import who_may_weld
from records.api.asker import Asker
from records.api.fields import WordsField
from records.api.resource import shape
from records.canonical import plain
from records.models import Joint
from rules.finding import Requirement

_Text = serializers.CharField
Candidate = shape(
    "CandidateTold",
    {
        "stamp": _Text(),
        "name": _Text(),
        "qualified": serializers.BooleanField(),
        "reasons": WordsField(help_text="Every reason against; empty where qualified"),
        "lapses_on": serializers.DateField(allow_null=True),
    },
)
Candidates = shape("Candidates", {"joint_id": serializers.UUIDField(), "welders": Candidate(many=True)})
Demand = shape(
    "RequirementTold",
    {
        **{name: _Text() for name in ("id", "code", "record", "label", "test", "unit", "severity", "words", "source")},
        "when": serializers.DictField(child=_Text(), help_text="Narrows it: the pass, the process, the filler"),
        "term": serializers.JSONField(help_text="Of the record's fields, as nested lists"),
        "bounds": serializers.JSONField(help_text="[least, greatest], or a list, by the test"),
        "steps": WordsField(help_text="The arithmetic"),
        "version": serializers.IntegerField(),
        "valid_until": serializers.DateField(allow_null=True),
    },
)
Demands = shape("Requirements", {"joint_id": serializers.UUIDField(), "requirements": Demand(many=True)})


@method_decorator(never_cache, name="dispatch")
class JointView(APIView):
    """A question about one joint of the person's jobs."""

    http_method_names = ["get", "head"]

    def joint(self, request: Request, id: UUID) -> Joint:
        """Return the joint. Raises Http404 where it is on no job of the person's, NotAllowed likewise to pages."""
        asker = Asker(request)
        found = Joint.objects.filter(id=id).select_related("job", *PLAN).first()
        if found is None or not asker.is_on(found.job_id):
            raise Http404("There is no such joint.")
        asker.admit(found.job_id, "read")
        return found


class WhoMayWeldView(JointView):
    """GET /api/joints/{id}/who-may-weld/."""

    @extend_schema(
        operation_id="who_may_weld",
        tags=["joints"],
        responses=Candidates,
        description="Each welder held against the joint today, the qualified first, with every reason against.",
    )
    def get(self, request: Request, id: UUID) -> Response:
        """Answer each welder; constant queries."""
        joint = self.joint(request, id)
        welders = [
            {
                "stamp": one.stamp,
                "name": one.name,
                "qualified": one.is_qualified,
                "reasons": list(one.reasons),
                "lapses_on": one.lapses_on,
            }
            for one in who_may_weld(joint)
        ]
        return Response({"joint_id": joint.id, "welders": welders})


class RequirementsView(JointView):
    """GET /api/joints/{id}/requirements/."""

    @extend_schema(
        operation_id="requirements",
        tags=["joints"],
        responses=Demands,
        description="What the joint asks before it is fitted, welded, examined and released, as data.",
    )
    def get(self, request: Request, id: UUID) -> Response:
        """Answer each requirement with its source and arithmetic; constant queries."""
        joint = self.joint(request, id)
        plan = plan_of(joint.job, joint)
        told = [_told(one, asked(one, plan.confirmed)) for one in plan.requirements]
        return Response({"joint_id": joint.id, "requirements": told})


def _told(one: Requirement, said: Ask) -> dict[str, Any]:
    return {
        "id": one.id,
        "code": one.code,
        "record": one.record,
        "label": said.label,
        "test": one.test,
        "unit": one.unit,
        "severity": one.severity,
        "words": said.bounds,
        "source": str(one.source),
        "when": dict(one.when),
        "term": plain(one.term),
        "bounds": plain(one.bounds),
        "steps": list(one.steps),
        "version": one.version,
        "valid_until": one.valid_until,
    }
