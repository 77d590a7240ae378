"""The Django app `inspection`."""

from django.apps import AppConfig


class InspectionConfig(AppConfig):
    name = "inspection"
    label = "inspection"
    verbose_name = "Inspection"
    default_auto_field = "django.db.models.BigAutoField"
