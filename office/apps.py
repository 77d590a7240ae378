"""The Django app `office`."""

from django.apps import AppConfig


class OfficeConfig(AppConfig):
    name = "office"
    label = "office"
    verbose_name = "Office"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Let the check of where webhooks may call be found."""
        # Not before the models are loaded.
        import office.calling.door  # noqa: F401, PLC0415
