"""The papers of welding as files: a procedure's WPS and PQR, a welder's qualification record."""

from django.db import models
from django.db.models import Q

from records.models.base import Master, one_of

OF_PROCEDURE, OF_QUALIFICATION = ("WPS", "PQR"), ("WPQ",)
_OF_PROCEDURE = Q(procedure__isnull=False, qualification__isnull=True, kind__in=OF_PROCEDURE)
_OF_QUALIFICATION = Q(procedure__isnull=True, qualification__isnull=False, kind__in=OF_QUALIFICATION)


class Attachment(Master):
    """One paper of a procedure or qualification; a newer file takes its place, and the journal names both."""

    kind = models.CharField(max_length=3)
    procedure = models.ForeignKey(
        "records.Procedure", on_delete=models.PROTECT, null=True, blank=True, related_name="attachments"
    )
    qualification = models.ForeignKey(
        "records.Qualification", on_delete=models.PROTECT, null=True, blank=True, related_name="attachments"
    )
    file = models.FileField(upload_to="attachments/", max_length=200)
    file_name = models.CharField(max_length=200)
    size = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        constraints = [
            one_of("kind", (*OF_PROCEDURE, *OF_QUALIFICATION), "attachment_kind_known"),
            models.CheckConstraint(condition=_OF_PROCEDURE | _OF_QUALIFICATION, name="attachment_of_one_thing"),
            models.UniqueConstraint(fields=["procedure", "kind"], name="attachment_once_per_procedure"),
            models.UniqueConstraint(fields=["qualification", "kind"], name="attachment_once_per_qualification"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.file_name}"
