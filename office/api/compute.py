"""The trade calculators for programs: the same answer as the command and the pages."""

from django.utils.decorators import method_decorator
from django.views.decorators.cache import never_cache
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from office.queries.calculators import answer, as_refusal, calculator_named, setting, values_of
from records.models import User
from rules.calculators.asked import ComputeError
from rules.compute import CALCULATORS


@method_decorator(never_cache, name="dispatch")
class ComputeView(APIView):
    """GET /api/compute/NAME/?key=value, with units=US or SI and job=CODE where they are wanted."""

    http_method_names = ["get", "head"]

    @extend_schema(
        operation_id="compute",
        tags=["compute"],
        description="A trade calculator; its keys, and those of its result, stand on its page under Calculators.",
        parameters=[
            OpenApiParameter("name", str, OpenApiParameter.PATH, enum=sorted(CALCULATORS)),
            OpenApiParameter("units", str, enum=["US", "SI"], description="Of bare numbers"),
            OpenApiParameter("job", str, description="A job whose units and edition hold"),
        ],
        responses=OpenApiTypes.OBJECT,
    )
    def get(self, request: Request, name: str) -> Response:
        """Answer {name, inputs, result, steps, source, notes}, or say as problem+json which value is wrong."""
        assert isinstance(request.user, User)  # whoever is nobody does not come past the door
        calculator_named(name)
        within = setting(request.query_params, request.user)
        try:
            return Response(answer(name, values_of(request.query_params), within))
        except ComputeError as wrong:
            raise as_refusal(wrong) from wrong
