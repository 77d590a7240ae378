"""Every row of the site, to hold what stood before against what stands after."""

from functools import cache
from typing import Any

from django.apps import apps
from django.db import connection

# That somebody signed in, or called by a token, is no change of what is known.
PASSING = {"last_login", "last_used_at"}


def stored() -> dict[str, list[tuple[Any, ...]]]:
    """All rows of all records as the database has them, by the name of their model."""
    rows = {}
    with connection.cursor() as cursor:
        for model, reading in readings():
            cursor.execute(reading)
            rows[model] = cursor.fetchall()
    return rows


@cache
def readings() -> list[tuple[str, str]]:
    """Each model's name and the statement that reads its rows; written once, since hundreds of tests' requests ask."""
    found = []
    for model in apps.get_app_config("records").get_models():
        names = [field.attname for field in model._meta.concrete_fields if field.name not in PASSING]
        reading, given = model._default_manager.order_by("pk").values_list(*names).query.sql_with_params()
        assert not given, "a manager that leaves rows out"
        found.append((model.__name__, reading))
    return found
