"""A job, and who works on it in which role."""

from django.conf import settings
from django.db import models

from records.models.base import new_id, one_of
from rules.certificate import NEWER, OLDER, REPORTED, ROUNDED
from rules.cut_length import FLANGE_EDITIONS
from rules.progressive import IN_ALL, PER_EACH

UNITS = ("US", "SI")
WELDERS_EDITIONS = ("older", "2010", "current")
CERTIFICATES_EDITIONS = (OLDER, NEWER)
CERTIFICATES_ROUNDINGS = (ROUNDED, REPORTED)
FIRST_BATCHES = (PER_EACH, IN_ALL)
RECORDING = ("joint", "pass", "parameters")
ROLES = ("welder", "foreman", "inspector", "engineer", "owner", "client", "administrator")


class Job(models.Model):
    """One contract's piping scope; everything belongs to exactly one job."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    code = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=200)
    client = models.CharField(max_length=200, blank=True, default="")
    site = models.CharField(max_length=200, blank=True, default="")
    units = models.CharField(max_length=2, default="US")
    construction_code = models.CharField(max_length=40, default="ASME B31.3")
    edition = models.CharField(max_length=40, default="2018")
    welders_edition = models.CharField(
        max_length=10,
        blank=True,
        default="",
        help_text="Edition of BPVC Section IX by which welders are judged; empty: none is named, current families",
    )
    certificates_edition = models.CharField(
        max_length=10,
        blank=True,
        default="",
        help_text="Edition of the material specifications that certificates are held to; empty: none is named, newer",
    )
    certificates_rounding = models.CharField(
        max_length=10,
        blank=True,
        default="",
        help_text="How a certificate's value is compared: rounded to the limit's digits, as when empty, or as reported",
    )
    first_batch = models.CharField(
        max_length=10,
        blank=True,
        default="",
        help_text="What several rejects of a first sample ask: two more for each, as when empty, or two in all",
    )
    flanges_edition = models.CharField(
        max_length=10,
        blank=True,
        default="",
        help_text="Edition of ASME B16.5 that flanges of routes are as long as; empty: none is named, 2003 and later",
    )
    time_zone = models.CharField(max_length=64, default="UTC")
    recording = models.CharField(max_length=10, default="pass")
    repairs_max = models.PositiveSmallIntegerField(
        null=True, blank=True, default=2, help_text="Repairs of one joint before it is flagged; no code limits it"
    )
    second_factor_demanded = models.BooleanField(
        default=False, help_text="Whoever may write on the job signs in with a second factor"
    )

    transport_envelope = models.CharField(
        max_length=60, blank=True, default="", help_text="Greatest sides of a spool to carry, as typed; empty: no limit"
    )
    confirmation_demanded = models.BooleanField(
        default=False, help_text="Release only where each table that a joint's limits come from is confirmed"
    )

    class Meta:
        constraints = [
            one_of("units", UNITS, "job_units_known"),
            one_of("recording", RECORDING, "job_recording_known"),
            one_of("welders_edition", ("", *WELDERS_EDITIONS), "job_welders_edition_known"),
            one_of("certificates_edition", ("", *CERTIFICATES_EDITIONS), "job_certificates_edition_known"),
            one_of("certificates_rounding", ("", *CERTIFICATES_ROUNDINGS), "job_certificates_rounding_known"),
            one_of("first_batch", ("", *FIRST_BATCHES), "job_first_batch_known"),
            one_of("flanges_edition", ("", *FLANGE_EDITIONS), "job_flanges_edition_known"),
        ]

    def __str__(self) -> str:
        return self.code


class Membership(models.Model):
    """A person's role on a job; one person may hold several. One that ended stays a row: the journal names it."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="memberships")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="memberships")
    role = models.CharField(max_length=16)
    is_held = models.BooleanField(default=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["job", "user", "role"], name="membership_once"),
            one_of("role", ROLES, "membership_role_known"),
        ]
