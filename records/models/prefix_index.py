"""An index by which names are found from their first letters, in whatever case they are typed, on both databases."""

from typing import Any

from django.db import models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.backends.ddl_references import Statement, Table
from django.db.models.expressions import RawSQL
from django.db.models.functions import Collate, Upper

# As a literal, not as a parameter: only so SQLite sees that an index of what is filled serves a question for it.
NOTHING = RawSQL("''", ())
KEY = {"postgresql": 'UPPER({column}::text) COLLATE "C"', "sqlite": "{column} COLLATE NOCASE"}


class PrefixIndex(models.Index):
    """An index on (job, name, what sorts equal names), where `name` is the second field.

    `name__istartswith` narrows by it, and `in_order` reads it in its own order: the exact name first, then longer ones.
    """

    def create_sql(
        self, model: type[models.Model], schema_editor: BaseDatabaseSchemaEditor, using: str = "", **kwargs: Any
    ) -> Statement:
        """Write the statement in the words of the database at hand, neither of which Django's own index can say."""
        quote, vendor = schema_editor.quote_name, schema_editor.connection.vendor
        named = {field.name: str(field.column) for field in model._meta.concrete_fields}
        columns = [quote(named[name]) for name in self.fields]
        columns[1] = KEY[vendor].format(column=columns[1])
        where = schema_editor._index_condition_sql(self._get_condition_sql(model, schema_editor))  # type: ignore[attr-defined]
        return Statement(
            "CREATE INDEX %(name)s ON %(table)s (%(columns)s)%(condition)s",
            name=quote(self.name),
            table=Table(model._meta.db_table, quote),
            columns=", ".join(columns),
            condition=where,
        )


def in_order(field: str, vendor: str) -> Collate:
    """Return the expression that sorts a name as its PrefixIndex does."""
    return Collate(field, "NOCASE") if vendor == "sqlite" else Collate(Upper(field), "C")
