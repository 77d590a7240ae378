"""How the schema describes the addresses of a resource."""

from typing import TYPE_CHECKING, Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter

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
        if not self.view.is_list or self.method == "POST":
            return []
        keys = [
            OpenApiParameter(name, OpenApiTypes.UUID, description="Only what is on it")
            for name in self.resource.filters
        ]
        return [*LIST_PARAMETERS, *keys]

    def get_response_serializers(self) -> Any:
        """A page, or a row."""
        return self.resource.page_shape if self.view.is_list else self.resource.read_shape

    def _is_list_view(self, serializer: Any = None) -> bool:
        return False  # a page is one object


JOB = OpenApiParameter("job", str, description="The code of a job; left out, all that you are on")
LIST_PARAMETERS = [
    JOB,
    OpenApiParameter("cursor", str, description="From `next` of the page before"),
    OpenApiParameter("limit", {"type": "integer", "minimum": 1, "maximum": MOST, "default": USUAL}),
]
