"""Fixtures of the tests of `records`."""

from tests.databases import own_database, template_database

__all__ = ["own_database", "template_database"]
