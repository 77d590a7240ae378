"""The Django app `records`."""

from django.apps import AppConfig

from records.lookups import Among


class RecordsConfig(AppConfig):
    name = "records"
    label = "records"
    verbose_name = "Records"
    default_auto_field = "django.db.models.BigAutoField"
    own_lookups = (Among,)
