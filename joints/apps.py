"""The Django app `joints`."""

from django.apps import AppConfig


class JointsConfig(AppConfig):
    name = "joints"
    label = "joints"
    verbose_name = "Joints"
    default_auto_field = "django.db.models.BigAutoField"
