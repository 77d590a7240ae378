"""The tamper-evident list of all records of a job."""

from django.conf import settings
from django.db import models


class JournalEntry(models.Model):
    """One link of a job's chain: the canonical form of a row at the moment it was written."""

    pk = models.CompositePrimaryKey("job_id", "number")
    # The primary key begins with it, and nobody looks entries up by who wrote them. Whether both are there need not be
    # looked up for every entry: the head's reference holds the job, and a person is a number that the hash holds.
    job = models.ForeignKey(
        "records.Job", on_delete=models.PROTECT, related_name="+", db_index=False, db_constraint=False
    )
    number = models.PositiveBigIntegerField(help_text="From 1, without gaps")
    kind = models.CharField(max_length=40, help_text="The model's name, for example fitup")
    subject = models.CharField(max_length=40, help_text="The row's id")
    payload = models.TextField(help_text="Canonical JSON of the row")
    form = models.PositiveSmallIntegerField(help_text="Version of the canonical form")
    algorithm = models.CharField(max_length=12)
    previous = models.CharField(max_length=64, help_text="Hash of the entry before")
    hash = models.CharField(max_length=64)
    written_at = models.DateTimeField()
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        db_index=False,
        db_constraint=False,
    )
    reason = models.TextField(blank=True, default="")

    class Meta:
        indexes = [models.Index(fields=["kind", "subject", "number"], name="journal_by_subject")]


class JournalHead(models.Model):
    """The last link of each chain; locked last and briefly."""

    job = models.OneToOneField("records.Job", on_delete=models.PROTECT, primary_key=True, related_name="journal_head")
    number = models.PositiveBigIntegerField(default=0)
    hash = models.CharField(max_length=64, default="")
