"""The Django app `office`."""

from django.apps import AppConfig


class OfficeConfig(AppConfig):
    name = "office"
    label = "office"
    verbose_name = "Office"
    default_auto_field = "django.db.models.BigAutoField"
