"""Fixtures of the tests of packages: a small job with certificates, in a storage of its own."""

from collections.abc import Callable, Iterator
from copy import deepcopy
from io import BytesIO
from pathlib import Path
from shutil import copytree
from typing import Any

import pytest
from reportlab.pdfgen.canvas import Canvas

from joints.actions.attach_certificate import attach_certificate
from records.models import Certificate
from tests.databases import made_once, own_database, template_database
from tests.records.scene import Scene, every_kind

__all__ = ["own_database", "template_database"]


@pytest.fixture
def storage(tmp_path: Path, settings: Any) -> Path:
    """The folder in which files are kept during one test."""
    settings.MEDIA_ROOT = tmp_path / "files"
    return tmp_path / "files"


def attached_scene() -> Scene:
    """A job with a row of every kind, whose one certificate is attached."""
    scene = every_kind()
    certificate = Certificate.objects.get(job=scene.job, number="MC-77")
    attach_certificate(certificate, paper("MC-77 of heat H-100"), "MC-77.pdf", job=scene.job, by=scene.engineer)
    return scene


@pytest.fixture
def make_scene(storage: Path) -> Callable[[], Scene]:
    return attached_scene


@pytest.fixture(scope="module")
def made_scene(django_db_setup: None, django_db_blocker: Any, tmp_path_factory: Any) -> Iterator[tuple[Scene, Path]]:
    files = tmp_path_factory.mktemp("files")
    with made_once(attached_scene, django_db_blocker, files) as made:
        yield made, files


@pytest.fixture
def scene(made_scene: tuple[Scene, Path], db: None, storage: Path) -> Scene:
    made, files = made_scene
    copytree(files, storage)
    return deepcopy(made)


def paper(words: str) -> bytes:
    """A PDF of one page that says some words."""
    out = BytesIO()
    canvas = Canvas(out)
    canvas.drawString(72, 720, words)
    canvas.save()
    return out.getvalue()
