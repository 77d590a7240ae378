"""Papers and packages over the site: sent as something to save, to the people of the job and nobody else."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from office.actions.build_package import ask_package, build_asked_package
from office.queries.scope import Scope
from records import work as works
from records.models import Package, User
from tests.builders import JobBuilder, MembershipBuilder, UserBuilder
from tests.records.scene import Scene

SignIn = Callable[[User], Client]


@pytest.fixture
def package(scene: Scene, settings: Any) -> Package:
    settings.WORK_THREAD = "tests.office.packages.test_worker.leave_it"
    work = works.take(ask_package(Scope(scene.job), job=scene.job, by=scene.engineer).id)
    assert work is not None
    return Package.objects.get(id=build_asked_package(work, lambda *_: None)["package"])


@pytest.fixture
def client_person(scene: Scene) -> User:
    person = UserBuilder()
    MembershipBuilder(job=scene.job, user=person, role="client")
    return person


def papers_of(scene: Scene) -> dict[str, str]:
    line = scene.joints["1"].line
    return {
        "J-1-1-GL-2001-weld-map.pdf": reverse("weld-map-pdf", args=["J-1", line.id]),
        "J-1-weld-log.pdf": reverse("weld-log-pdf", args=["J-1"]),
        "J-1-1-GL-2001-weld-log.pdf": reverse("weld-log-pdf", args=["J-1"]) + "?line=1-GL-2001",
        "J-1-findings.pdf": reverse("findings-pdf", args=["J-1"]),
    }


def test_sends_each_paper_as_a_pdf_to_save(scene: Scene, client_person: User, sign_in: SignIn) -> None:
    for name, address in papers_of(scene).items():
        answer = sign_in(client_person).get(address)
        assert answer.status_code == 200
        assert answer["Content-Type"] == "application/pdf"
        assert answer["Content-Disposition"] == f'attachment; filename="{name}"'
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer.content.startswith(b"%PDF-")


def test_an_unknown_line_is_not_found(scene: Scene, client_person: User, sign_in: SignIn) -> None:
    browser = sign_in(client_person)
    assert browser.get(reverse("weld-map-pdf", args=["J-1", scene.job.id])).status_code == 404
    assert browser.get(reverse("weld-log-pdf", args=["J-1"]) + "?line=NONE").status_code == 404


def test_sends_the_package_and_its_manifest(package: Package, client_person: User, sign_in: SignIn) -> None:
    browser = sign_in(client_person)
    file = browser.get(reverse("package-file", args=["J-1", package.id]))
    assert file["Content-Disposition"] == 'attachment; filename="J-1-job-package.pdf"'
    assert file["X-Content-Type-Options"] == "nosniff"
    assert b"".join(file.streaming_content) == package.file.read()
    sums = browser.get(reverse("package-manifest", args=["J-1", package.id]))
    assert sums["Content-Disposition"] == 'attachment; filename="manifest.txt"'
    assert package.sha256.encode() in b"".join(sums.streaming_content)


def test_a_package_whose_file_is_gone_is_not_found(
    package: Package, client_person: User, sign_in: SignIn, storage: Path
) -> None:
    (storage / package.file.name).unlink()
    assert sign_in(client_person).get(reverse("package-file", args=["J-1", package.id])).status_code == 404


def test_somebody_of_another_job_finds_nothing(package: Package, sign_in: SignIn) -> None:
    stranger = UserBuilder()
    MembershipBuilder(job=JobBuilder(code="X-9"), user=stranger, role="engineer")
    browser = sign_in(stranger)
    for code in ("J-1", "X-9"):
        assert browser.get(reverse("package-file", args=[code, package.id])).status_code == 404
        assert browser.get(reverse("package-manifest", args=[code, package.id])).status_code == 404
