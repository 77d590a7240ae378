"""The route of a drawing sheet, as it is typed, and the numbers of the joints that it makes."""

from django.db import models

from records.models.base import Master

LONGEST_ROUTE = 60_000


class Route(Master):
    """How the pipe of one sheet runs. `numbers` are those of its joints, in the order of its flow."""

    sheet = models.ForeignKey("records.Sheet", on_delete=models.PROTECT, related_name="routes")
    text = models.TextField(help_text="A step a line, as docs/routes.md has it")
    numbers = models.JSONField(default=list, blank=True, help_text="Joint numbers along the flow; empty until applied")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["sheet"], name="route_once_per_sheet")]
