"""A change of the plan is journalled, and judges again exactly the joints that it can touch."""

from decimal import Decimal
from typing import Any

import pytest

from joints.actions.save_plan import save_plan
from records import judging
from records.models import Finding, Heat, Joint, JournalEntry, Line, Procedure, Qualification, Sheet, User, Work
from records.rebuild import differences
from records.refusals import NotAllowed
from tests.records.scene import Scene, open_job, plan, weld

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    """Six joints, the first two of them welded."""
    scene = plan(*open_job())
    for number in ("1", "2"):
        weld(scene, scene.joints[number])
    return scene


def codes(scene: Scene) -> set[tuple[str, str]]:
    """(joint number, finding code) of every finding but the examination still due."""
    rows = Finding.objects.filter(job=scene.job).exclude(code="examination-due")
    return set(rows.values_list("joint__number", "code"))


def save(scene: Scene, row: Any, reason: str = "read again") -> None:
    save_plan([row], job=scene.job, by=scene.engineer, reason=reason)


def test_correcting_a_heat_changes_the_findings_of_the_joints_that_use_it(scene: Scene) -> None:
    heat = Heat.objects.get(pk=scene.heat.pk)
    assert codes(scene) == set()
    heat.elements = {**heat.elements, "C": "0.45"}
    save(scene, heat)
    assert codes(scene) == {("1", "chemistry-out-of-range"), ("2", "chemistry-out-of-range")}
    heat.elements = {**heat.elements, "C": "0.20"}
    save(scene, heat)
    assert codes(scene) == set()
    assert list(differences(scene.job)) == []


def test_a_tighter_procedure_flags_what_was_fitted_by_it(scene: Scene) -> None:
    procedure = Procedure.objects.get(job=scene.job)
    procedure.gap_max_mm = Decimal("1.0")
    save(scene, procedure)
    assert codes(scene) == {("1", "gap-out-of-range"), ("2", "gap-out-of-range")}


def test_a_suspension_flags_what_the_stamp_welded_after_it(scene: Scene) -> None:
    test = Qualification.objects.get(job=scene.job)
    test.status, test.status_on = "suspended", test.tested_on
    save(scene, test)
    assert {code for _, code in codes(scene)} == {"stamp-suspended"}


def test_taking_the_exam_plan_off_the_line_ends_what_was_due(scene: Scene) -> None:
    assert Finding.objects.filter(code="examination-due").count() == 2
    line = Line.objects.get(job=scene.job)
    line.exam_plan = None
    save(scene, line)
    assert not Finding.objects.filter(code="examination-due").exists()


def test_a_new_revision_of_the_sheet_is_told_where_the_old_one_was_worked_from(scene: Scene) -> None:
    sheet = Sheet.objects.get(job=scene.job)
    sheet.revision = "B"
    save(scene, sheet)
    # The fit-ups of the scene do not say which revision they were made from, and what is not said is not judged.
    assert codes(scene) == set()
    assert list(differences(scene.job)) == []


def test_each_version_stands_in_the_journal_with_its_reason(scene: Scene) -> None:
    heat = Heat.objects.get(pk=scene.heat.pk)
    before = JournalEntry.objects.filter(kind="heat").count()
    heat.manufacturer = "Tarrow Tube"
    save(scene, heat, "the maker was missing")
    entry = JournalEntry.objects.filter(kind="heat").order_by("number").last()
    assert entry is not None
    assert JournalEntry.objects.filter(kind="heat").count() == before + 1
    assert entry.reason == "the maker was missing"
    assert "Tarrow Tube" in entry.payload


def test_a_row_that_is_stored_as_it_is_writes_nothing(scene: Scene) -> None:
    before = JournalEntry.objects.count()
    assert save_plan([Heat.objects.get(pk=scene.heat.pk)], job=scene.job, by=scene.engineer) == []
    assert JournalEntry.objects.count() == before


def test_many_joints_are_marked_stale_and_refreshed_in_the_background(
    scene: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(judging, "AT_ONCE", 1)
    heat = Heat.objects.get(pk=scene.heat.pk)
    heat.elements = {**heat.elements, "C": "0.45"}
    save(scene, heat)
    assert Joint.objects.filter(is_stale=True).count() >= 2
    assert Work.objects.get().kind == "refresh findings"


def test_refuses_somebody_without_the_verb_and_changes_nothing(scene: Scene) -> None:
    heat = Heat.objects.get(pk=scene.heat.pk)
    heat.manufacturer = "Nobody"
    with pytest.raises(NotAllowed):
        save_plan([heat], job=scene.job, by=User.objects.create_user("stranger"))
    assert Heat.objects.get(pk=scene.heat.pk).manufacturer == ""
