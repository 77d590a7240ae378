"""What the rules say of the records, kept so that lists are fast; derived, so it may be made again at any time."""

from django.db import models

from records.models.base import one_of

OPEN = models.Q(override__isnull=True)


class Finding(models.Model):
    """One finding on one joint; open unless an override covers its code on its attempt."""

    id = models.BigAutoField(primary_key=True)
    job = models.ForeignKey("records.Job", on_delete=models.PROTECT, related_name="+")
    joint = models.ForeignKey("records.Joint", on_delete=models.PROTECT, related_name="findings")
    attempt = models.CharField(max_length=6)
    code = models.CharField(max_length=40)
    record = models.CharField(max_length=40, blank=True, default="")
    severity = models.CharField(max_length=7)
    message = models.TextField()
    source = models.CharField(max_length=200)
    measured = models.CharField(max_length=80, blank=True, default="")
    limit = models.CharField(max_length=120, blank=True, default="")
    unit = models.CharField(max_length=20, blank=True, default="")
    subject = models.CharField(max_length=120, blank=True, default="")
    steps = models.JSONField(default=list)
    tables = models.JSONField(default=list, help_text="[table, row key] of each table that the limit comes from")
    # What lists are sorted and narrowed by; they follow from the finding, its joint and the record it speaks of.
    sort_key = models.CharField(max_length=250, blank=True, default="", help_text="Weight, code and joint, to sort")
    owner = models.CharField(max_length=10, blank=True, default="", help_text="The role that has to act")
    since = models.DateField(
        null=True, blank=True, help_text="The day of the record it speaks of, else of the last one at the joint"
    )
    override = models.ForeignKey("records.Override", on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        constraints = [one_of("severity", ("stop", "correct", "note"), "finding_severity_known")]
        indexes = [
            models.Index(fields=["job", "code", "sort_key", "id"], name="finding_by_code"),
            models.Index(fields=["job", "subject"], name="finding_by_subject"),
            models.Index(fields=["job", "sort_key", "id"], condition=OPEN, name="finding_open_by_weight"),
            models.Index(fields=["job", "owner", "sort_key", "id"], condition=OPEN, name="finding_open_by_owner"),
            models.Index(fields=["job", "since", "id"], condition=OPEN, name="finding_open_by_age"),
        ]

    @property
    def name(self) -> str:
        """What names it in an address: rows are made anew whenever the joint is judged, code and attempt stay."""
        return f"{self.code}.{self.attempt}"
