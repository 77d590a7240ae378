"""Fixtures of the tests of `records`."""

from pathlib import Path
from typing import Any

import pytest

from tests.databases import own_database, template_database

__all__ = ["own_database", "template_database"]


@pytest.fixture(autouse=True)
def own_files(tmp_path: Path, settings: Any) -> Path:
    """The folder in which files are kept during one test."""
    settings.MEDIA_ROOT = tmp_path / "files"
    return tmp_path / "files"
