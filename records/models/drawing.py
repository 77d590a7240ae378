"""Drawings that came from elsewhere, and the joints that are marked on them."""

from decimal import Decimal
from typing import Any

from django.db import models
from django.db.models import Q

from records.models.base import Master


def points(**options: Any) -> "models.DecimalField[Any, Any]":
    """A place on a page in points of 1/72 in, from its top left corner as it is seen."""
    return models.DecimalField(max_digits=7, decimal_places=2, **options)


class SheetDrawing(Master):
    """The drawing of one revision of a sheet as the client sent it; of an image, a PDF made from its pixels.

    `pages` lists width and height of each page as it is seen, in points. Pictures of the pages stand beside the file.
    """

    sheet = models.ForeignKey("records.Sheet", on_delete=models.PROTECT, related_name="drawings")
    revision = models.CharField(max_length=16, blank=True, default="")
    file = models.FileField(upload_to="drawings/", max_length=200)
    file_name = models.CharField(max_length=200)
    size = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)
    pages = models.JSONField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["sheet", "revision"], name="sheet_drawing_once_per_revision")]

    def __str__(self) -> str:
        return self.file_name

    def page(self, number: int) -> tuple[Decimal, Decimal]:
        """Width and height of a page. Raises IndexError for a page that the drawing has not."""
        if number < 1:
            raise IndexError(number)
        wide, high = self.pages[number - 1]
        return Decimal(str(wide)), Decimal(str(high))


class JointMark(Master):
    """Where a joint stands on a drawing: its weld, and the ring with its number; taken off, it is on page 0."""

    drawing = models.ForeignKey(SheetDrawing, on_delete=models.PROTECT, related_name="marks")
    joint = models.ForeignKey("records.Joint", on_delete=models.PROTECT, related_name="marks")
    page = models.PositiveSmallIntegerField()
    x_pt = points()
    y_pt = points()
    label_x_pt = points()
    label_y_pt = points()
    is_to_confirm = models.BooleanField(default=False, help_text="Carried over to a place where the drawing changed")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["drawing", "joint"], name="joint_mark_once_per_drawing"),
            models.CheckConstraint(
                condition=Q(x_pt__gte=0, y_pt__gte=0, label_x_pt__gte=0, label_y_pt__gte=0),
                name="joint_mark_on_its_page",
            ),
        ]
