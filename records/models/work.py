"""Long work as a row, and the packages it builds."""

from django.conf import settings
from django.db import models

from records.models.base import Record, new_id, one_of

WORK_STATES = ("queued", "running", "done", "failed")


class Work(models.Model):
    """A piece of long work; a worker takes it, and it may run twice without harm."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    job = models.ForeignKey("records.Job", on_delete=models.PROTECT, related_name="works")
    kind = models.CharField(max_length=40)
    arguments = models.JSONField(default=dict)
    state = models.CharField(max_length=8, default="queued")
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    step = models.CharField(max_length=120, blank=True, default="")
    log = models.TextField(blank=True, default="")
    error = models.TextField(blank=True, default="")
    result = models.JSONField(default=dict)
    tries = models.PositiveSmallIntegerField(default=0)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    beat_at = models.DateTimeField(null=True, blank=True, help_text="The worker's last sign of life")
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [one_of("state", WORK_STATES, "work_state_known")]
        indexes = [models.Index(fields=["state", "beat_at"], name="work_by_state")]


class Package(Record):
    """A turnover package as it was built: its file, its sums and the journal's head it was built at."""

    scope = models.CharField(max_length=120, help_text="job, line NUMBER or spool MARK")
    file = models.FileField(upload_to="packages/", max_length=200)
    manifest = models.FileField(upload_to="packages/", max_length=200)
    sha256 = models.CharField(max_length=64)
    manifest_sha256 = models.CharField(max_length=64, blank=True, default="")
    pages = models.PositiveIntegerField()
    missing = models.PositiveIntegerField(help_text="How much was still missing when it was built")
    head_number = models.PositiveBigIntegerField()
    head_hash = models.CharField(max_length=64)
