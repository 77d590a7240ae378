"""The API's own addresses: what there is, the schema, and a page that a person can read."""

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.utils import extend_schema
from drf_spectacular.views import SpectacularJSONAPIView
from rest_framework import serializers
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from inspection.api.examining import EXAMINING
from inspection.api.lots import LOTS
from joints.api.attempts import ATTEMPTS
from joints.api.people import PEOPLE
from joints.api.plan import PLAN
from joints.api.records import RECORDS
from joints.api.shop import SHOP
from office.api.paper import PAPER
from office.api.webhooks import WEBHOOK_RESOURCES
from records.api.resource import shape
from weldtrack.api.listed import operations

RESOURCES = (*PAPER, *PLAN, ATTEMPTS, *PEOPLE, *RECORDS, *SHOP, *EXAMINING, LOTS, *WEBHOOK_RESOURCES)


Addresses = shape(
    "Addresses", {name: serializers.URLField() for name in (*(one.path for one in RESOURCES), "schema", "compute")}
)


class RootView(APIView):
    """GET /api/: the address of each resource."""

    http_method_names = ["get", "head"]

    @extend_schema(
        operation_id="resources",
        tags=["api"],
        description="The address of each resource.",
        responses=Addresses,
    )
    def get(self, request: Request) -> Response:
        """Answer each resource by name."""
        addresses = {one.path: f"api-{one.path}" for one in RESOURCES}
        found = {path: reverse(name) for path, name in addresses.items()}
        found |= {"schema": reverse("api-schema"), "compute": reverse("compute-api", args=["NAME"])}
        return Response({name: request.build_absolute_uri(path) for name, path in found.items()})


class NothingView(APIView):
    """Any other address under /api/: a problem, since a program can't read a page."""

    schema = None

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Refuse whatever the method."""
        super().initial(request, *args, **kwargs)
        raise Http404("There is nothing at this address; /api/ lists what there is.")


class SchemaView(SpectacularJSONAPIView):
    """GET /api/schema/: the schema, OpenAPI 3.1."""

    http_method_names = ["get", "head"]
    permission_classes = [IsAuthenticated]


@require_GET
@login_required
def show_docs(request: HttpRequest) -> HttpResponse:
    """List every address with what it takes and answers; a plain page, made of the schema."""
    schema: dict[str, Any] = SchemaGenerator().get_schema(request=None, public=True)
    return render(request, "weldtrack/api_docs.html", {"groups": operations(schema)})
