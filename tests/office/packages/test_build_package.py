"""The turnover package: what is in it, that its sums are true, that there is one for each time it was asked."""

import hashlib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from joints.actions.attach_certificate import attach_certificate
from joints.actions.attach_paper import attach_paper
from joints.actions.mark_joints import Place, mark_joints
from joints.actions.upload_drawing import upload_drawing
from office.actions.build_package import ask_package, build_asked_package, file_name
from office.queries.scope import Scope, scope_of
from records import work as works
from records.journal import head_of
from records.models import Certificate, Heat, JournalEntry, Package, Procedure, Qualification, Spool, User, Work
from records.refusals import Implausible, NotAllowed
from records.verify import first_bad
from tests.builders import JobBuilder, MembershipBuilder, UserBuilder
from tests.office.packages.conftest import paper
from tests.records.scene import Scene


@pytest.fixture(autouse=True)
def nobody_else(settings: Any) -> None:
    settings.WORK_THREAD = "tests.office.packages.test_worker.leave_it"


def quiet(step: str, done: int = 0, total: int = 0) -> None:
    """Nobody listens to how far it is."""


def build(scene: Scene, scope: Scope | None = None) -> Package:
    asked = ask_package(scope or Scope(scene.job), job=scene.job, by=scene.engineer)
    work = works.take(asked.id)
    assert work is not None
    return Package.objects.get(id=build_asked_package(work, quiet)["package"])


def words_of(package: Package) -> str:
    with package.file.open("rb") as stream:
        document = pypdfium2.PdfDocument(stream.read())
    return " ".join(" ".join(page.get_textpage().get_text_range() for page in document).split())


def headings(package: Package) -> list[str]:
    with package.file.open("rb") as stream, pikepdf.open(stream) as pdf, pdf.open_outline() as outline:
        return [str(item.title) for item in outline.root]


def test_binds_every_paper_and_certificate_under_bookmarks(scene: Scene) -> None:
    package = build(scene)
    assert headings(package) == [
        "Cover",
        "Contents",
        "What is missing",
        "Weld maps",
        "Weld log",
        "Fit-up and pass log",
        "Hold and witness points",
        "Findings",
        "Examinations",
        "Welder register",
        "Heat list",
        "Material certificates",
    ]
    words = words_of(package)
    assert "ISO-2001/1/1" in words
    assert "MC-77 of heat H-100" in words
    assert "Ode Fenwright" in words
    assert "Ansel Vroom" in words
    assert "ASME B31.3, 2018" in words
    assert f"1 of {package.pages}" in words


def test_prints_the_journals_head_and_says_how_much_is_missing(scene: Scene) -> None:
    head = head_of(scene.job)
    package = build(scene)
    assert f"{package.head_number}:{package.head_hash}" == head
    assert head.partition(":")[2] in words_of(package)
    assert package.missing > 0
    assert f"{package.missing} items" in words_of(package)
    assert first_bad(scene.job, head=head) is None


def test_shows_a_repaired_joint_in_every_attempt(scene: Scene) -> None:
    words = words_of(build(scene))
    assert "repaired" in words
    assert "VT rejected 2026-09-15" in words


def test_tells_true_sums(scene: Scene) -> None:
    package = build(scene)
    content = package.file.read()
    assert hashlib.sha256(content).hexdigest() == package.sha256
    lines = [line for line in package.manifest.read().decode().splitlines() if not line.startswith("#")]
    certificate = Certificate.objects.get(number="MC-77")
    assert lines == [
        f"{package.sha256}  {file_name(scene.job, 'job')}",
        f"{certificate.sha256}  certificates/MC-77.pdf",
    ]


def test_journals_the_package(scene: Scene) -> None:
    package = build(scene)
    entry = JournalEntry.objects.filter(job=scene.job).latest("number")
    assert (entry.kind, entry.subject) == ("package", package.id.hex)
    assert first_bad(scene.job) is None


def test_builds_two_packages_where_two_were_asked(scene: Scene) -> None:
    first, second = build(scene), build(scene)
    assert first.id != second.id
    assert first.file.name != second.file.name


def test_returns_the_package_that_was_built_where_the_work_runs_again(scene: Scene) -> None:
    package = build(scene)
    work = Work.objects.get(id=package.id)
    assert build_asked_package(work, quiet)["package"] == str(package.id)
    assert Package.objects.filter(scope="job", id=package.id).count() == 1


def test_a_line_and_a_spool_have_their_own_packages(scene: Scene) -> None:
    line = build(scene, scope_of(scene.job, "line", "1-GL-2001"))
    spool = build(scene, scope_of(scene.job, "spool", "SP-1"))
    assert (line.scope, spool.scope) == ("line 1-GL-2001", "spool SP-1")
    assert "spool SP-1 of line 1-GL-2001" in words_of(spool)


def test_a_job_without_joints_has_a_package_that_says_so(db: None, storage: Path) -> None:
    job = JobBuilder(code="E-1")
    engineer = UserBuilder()
    MembershipBuilder(job=job, user=engineer, role="engineer")
    asked = ask_package(Scope(job), job=job, by=engineer)
    work = works.take(asked.id)
    assert work is not None
    package = Package.objects.get(id=build_asked_package(work, quiet)["package"])
    assert "Nothing that this job asks for is missing in this scope." in words_of(package)


def test_lists_a_certificate_whose_file_is_gone(scene: Scene) -> None:
    certificate = Certificate.objects.get(number="MC-77")
    default_storage.delete(certificate.file.name)
    package = build(scene)
    assert "The file that was attached is gone from the storage." in words_of(package)
    assert "certificates/" not in package.manifest.read().decode().replace("# The certificates", "")


def test_lists_a_certificate_whose_file_was_changed(scene: Scene) -> None:
    certificate = Certificate.objects.get(number="MC-77")
    default_storage.delete(certificate.file.name)
    default_storage.save(certificate.file.name, ContentFile(paper("another paper")))
    words = words_of(build(scene))
    assert "its SHA-256 sum differs" in words
    assert "another paper" not in words


def test_lists_a_certificate_that_is_no_readable_pdf(scene: Scene) -> None:
    broken = b"%PDF-1.7 and nothing more"
    certificate = Certificate.objects.get(number="MC-77")
    default_storage.delete(certificate.file.name)
    default_storage.save(certificate.file.name, ContentFile(broken))
    Certificate.objects.filter(id=certificate.id).update(sha256=hashlib.sha256(broken).hexdigest())
    package = build(scene)
    assert "It is not a readable PDF" in words_of(package)
    assert "Material certificates" not in headings(package)


def test_lists_a_certificate_that_nobody_attached(scene: Scene) -> None:
    heat = Heat.objects.get(number="H-100")
    other = Certificate.objects.create(job=scene.job, number="MC-78")
    Heat.objects.filter(id=heat.id).update(certificate=other)
    words = words_of(build(scene))
    assert "Certificates without their file" in words and "MC-78" in words


@pytest.mark.parametrize("role", ["welder", "foreman", "owner", "client"])
def test_refuses_whoever_may_not_build(scene: Scene, role: str) -> None:
    person = UserBuilder()
    MembershipBuilder(job=scene.job, user=person, role=role)
    with pytest.raises(NotAllowed, match="may not build a package"):
        ask_package(Scope(scene.job), job=scene.job, by=person)
    assert not Work.objects.exists()


def test_refuses_the_line_of_another_job_as_one_that_is_not_there(scene: Scene) -> None:
    other = JobBuilder(code="X-9")
    line = scene.joints["1"].line
    with pytest.raises(Implausible) as foreign:
        scope_of(other, "line", line.id)
    with pytest.raises(Implausible) as absent:
        scope_of(other, "line", scene.job.id)
    assert foreign.value.message.replace(str(line.id), "") == absent.value.message.replace(str(scene.job.id), "")


def test_a_certificate_that_two_heats_share_is_bound_in_once(scene: Scene) -> None:
    assert words_of(build(scene)).count("MC-77 of heat H-100") == 1


def test_shows_who_asked_in_the_title_block(scene: Scene) -> None:
    User.objects.filter(id=scene.engineer.id).update(first_name="Edda", last_name="Mroz")
    scene.engineer.refresh_from_db()
    assert "Edda Mroz" in words_of(build(scene))


def test_replacing_a_certificate_leaves_the_package_as_it_was_built(scene: Scene) -> None:
    package = build(scene)
    certificate = Certificate.objects.get(number="MC-77")
    attach_certificate(
        certificate, paper("a newer paper"), "new.pdf", job=scene.job, by=scene.engineer, reason="clearer scan"
    )
    assert hashlib.sha256(package.file.read()).hexdigest() == package.sha256


def test_papers_of_welding_are_bound_in_and_what_lacks_is_told_in_a_line_a_kind(scene: Scene) -> None:
    said = words_of(build(scene))
    assert "Procedures without their WPS" in said and "1 procedure" in said
    assert "Qualifications without their record" in said and "K7: K7-1" in said
    wps, wpq = Procedure.objects.get(job=scene.job), Qualification.objects.get(job=scene.job)
    by: dict[str, Any] = {"job": scene.job, "by": scene.engineer}
    attach_paper(wps, "WPS", paper("the WPS W-1 itself"), "w.pdf", **by)
    attach_paper(wpq, "WPQ", paper("the record K7-1 itself"), "k.pdf", **by)
    package = build(scene)
    said = words_of(package)
    assert "the WPS W-1 itself" in said and "the record K7-1 itself" in said
    assert "without their" not in said
    assert {"Welding procedures", "Welder qualification records"} <= set(headings(package))
    listed = package.manifest.open("rb").read().decode()
    assert "certificates/WPS-W-1.pdf" in listed and "certificates/WPQ-K7-1.pdf" in listed


def test_a_spools_release_is_in_its_package_and_in_the_jobs_once_it_was_released(scene: Scene) -> None:
    spool = Spool.objects.select_related("line").get(job=scene.job)
    assert "Release of spool SP-1" in words_of(build(scene, Scope(scene.job, spool=spool)))
    assert "Release of spool" not in words_of(build(scene))
    Spool.objects.filter(pk=spool.pk).update(state="released")
    package = build(scene)
    assert "Release of spool SP-1" in words_of(package) and "Spool releases" in headings(package)


def test_a_marked_drawing_stands_before_the_map_of_its_sheet(scene: Scene) -> None:
    joint, by = scene.joints["1"], {"job": scene.job, "by": scene.engineer}
    done = upload_drawing(joint.sheet, paper("the client's own isometric"), "iso.pdf", revision="A", **by)
    assert "the client's own isometric" not in words_of(build(scene))  # nothing is marked on it yet
    mark_joints(done.drawing, [Place(joint.pk, 1, (Decimal(100), Decimal(100)))], **by)
    package = build(scene)
    assert "the client's own isometric" in words_of(package)
    with package.file.open("rb") as stream, pikepdf.open(stream) as pdf, pdf.open_outline() as outline:
        [maps] = [item for item in outline.root if item.title == "Weld maps"]
        assert [str(one.title).endswith("marked drawing") for one in maps.children] == [True, False]
    assert f"1 of {package.pages}" in words_of(package)
