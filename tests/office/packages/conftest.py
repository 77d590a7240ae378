"""Fixtures of the tests of packages: a small job with certificates, in a storage of its own."""

from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from reportlab.pdfgen.canvas import Canvas

from joints.actions.attach_certificate import attach_certificate
from records.models import Certificate
from tests.databases import own_database, template_database
from tests.records.scene import Scene, every_kind

__all__ = ["own_database", "template_database"]


@pytest.fixture
def storage(tmp_path: Path, settings: Any) -> Path:
    """The folder in which files are kept during one test."""
    settings.MEDIA_ROOT = tmp_path / "files"
    return tmp_path / "files"


@pytest.fixture
def make_scene(storage: Path) -> Callable[[], Scene]:
    """Make a job with a row of every kind, whose one certificate is attached."""

    def made() -> Scene:
        scene = every_kind()
        certificate = Certificate.objects.get(job=scene.job, number="MC-77")
        attach_certificate(certificate, paper("MC-77 of heat H-100"), "MC-77.pdf", job=scene.job, by=scene.engineer)
        return scene

    return made


@pytest.fixture
def scene(db: None, make_scene: Callable[[], Scene]) -> Scene:
    return make_scene()


def paper(words: str) -> bytes:
    """A PDF of one page that says some words."""
    out = BytesIO()
    canvas = Canvas(out)
    canvas.drawString(72, 720, words)
    canvas.save()
    return out.getvalue()
