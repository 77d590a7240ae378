"""Every row of the site, to hold what stood before against what stands after."""

from typing import Any

from django.apps import apps

# That somebody signed in, or called by a token, is no change of what is known.
PASSING = {"last_login", "last_used_at"}


def stored() -> dict[str, list[dict[str, Any]]]:
    """All rows of all records, by the name of their model."""
    return {
        model.__name__: [
            {name: value for name, value in row.items() if name not in PASSING}
            for row in model._default_manager.order_by("pk").values()
        ]
        for model in apps.get_app_config("records").get_models()
    }
