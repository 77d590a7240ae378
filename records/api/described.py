"""How the schema describes the addresses of a resource."""

from typing import TYPE_CHECKING, Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, PolymorphicProxySerializer
from rest_framework.serializers import Serializer

from records.api.cursor import MOST, USUAL

if TYPE_CHECKING:
    from records.api.resource import Resource


class ResourceSchema(AutoSchema):
    """The schema of one address, told by its resource."""

    view: Any

    @property
    def resource(self) -> "Resource":
        """The resource of the view at hand."""
        found: Resource = self.view.resource
        return found

    def get_operation_id(self) -> str:
        """A name like `list_fit_ups` or `read_fit_ups`."""
        deed = "record" if self.method == "POST" else "list" if self.view.is_list else "read"
        return f"{deed}_{self.resource.path.replace('-', '_')}"

    def get_tags(self) -> list[str]:
        """One heading for each resource."""
        return [self.resource.path]

    def get_description(self) -> str:  # type: ignore[override]  # the library's own has no arguments either
        """The resource's own sentence."""
        return self.resource.about

    def get_override_parameters(self) -> list[Any]:
        """What an address may ask for."""
        if self.method == "POST":
            return [JOB_WRITTEN]
        if not self.view.is_list:
            return []
        keys = [
            OpenApiParameter(name, OpenApiTypes.UUID, description="Only what is on it")
            for name in self.resource.filters
        ]
        return [*LIST_PARAMETERS, *keys]

    def get_request_serializer(self) -> Any:
        """One record, or a list of them."""
        return _one_or_many(f"{self.resource.one}Sent", self.resource.draft_shape) if self.method == "POST" else None

    def get_response_serializers(self) -> Any:
        """A page, or a row; what was recorded as it was sent, one or a list."""
        if self.method == "POST":
            told = _one_or_many(f"{self.resource.one}Recorded", self.resource.read_shape)
            return {
                201: OpenApiResponse(told, "Recorded"),
                200: OpenApiResponse(told, "Recorded before: this is what is stored"),
            }
        return self.resource.page_shape if self.view.is_list else self.resource.read_shape

    def _is_list_view(self, serializer: Any = None) -> bool:
        return False  # a page is one object


JOB = OpenApiParameter("job", str, description="The code of a job; left out, all that you are on")
JOB_WRITTEN = OpenApiParameter("job", str, description="The code of the job that all records must be of")
LIST_PARAMETERS = [
    JOB,
    OpenApiParameter("cursor", str, description="From `next` of the page before"),
    OpenApiParameter("limit", {"type": "integer", "minimum": 1, "maximum": MOST, "default": USUAL}),
]


def _one_or_many(name: str, one: type[Serializer]) -> PolymorphicProxySerializer:
    return PolymorphicProxySerializer(
        name, serializers=[one, one(many=True)], resource_type_field_name=None, many=False
    )
