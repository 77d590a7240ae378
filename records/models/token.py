"""Tokens with which a program signs in for a person."""

from django.conf import settings
from django.db import models

from records.models.base import new_id


class ApiToken(models.Model):
    """A program's sign-in in a person's name; of the secret itself only the sum is kept."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="api_tokens")
    name = models.CharField(max_length=80, help_text="What it is for")
    digest = models.CharField(max_length=64, unique=True, help_text="SHA-256 of the secret")
    may_write = models.BooleanField(default=False)
    job = models.ForeignKey(
        "records.Job", on_delete=models.PROTECT, null=True, blank=True, related_name="+",
        help_text="The one job it is for; empty: all that the person is on",
    )  # fmt: skip
    has_second_factor = models.BooleanField(
        default=False, help_text="Made in a session that had given a second factor; a job that demands one lets it in"
    )
    made_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)
