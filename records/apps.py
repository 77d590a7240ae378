"""The Django app `records`."""

from django.apps import AppConfig

from records import lookups

__all__ = ["RecordsConfig", "lookups"]


class RecordsConfig(AppConfig):
    name = "records"
    label = "records"
    verbose_name = "Records"
    default_auto_field = "django.db.models.BigAutoField"
