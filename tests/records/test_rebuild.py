"""What is stored of a joint is what follows from its records, and a difference is told."""

import pytest
from django.core.management import call_command

from records.models import Finding, Joint
from records.rebuild import differences
from tests.records.scene import every_kind

pytestmark = pytest.mark.usefixtures("own_database")


def test_stored_equals_derived_after_every_action() -> None:
    assert list(differences(every_kind().job)) == []


@pytest.mark.parametrize(
    "corruption",
    [
        {"state": "released"},
        {"next_step": "nothing"},
        {"progress": 7},
        {"stops": 9},
        {"stamps": "ZZ"},
        {"attempts": 4},
        {"last_on": None},
    ],
)
def test_one_corrupted_column_makes_the_check_exit_1(corruption: dict[str, object]) -> None:
    scene = every_kind()
    Joint.objects.filter(id=scene.joints["3"].id).update(**corruption)
    with pytest.raises(SystemExit) as exit_code:
        call_command("rebuild_state", check=True)
    assert exit_code.value.code == 1
    call_command("rebuild_state")
    call_command("rebuild_state", check=True)


def test_a_finding_that_was_removed_is_told_and_comes_back() -> None:
    scene = every_kind()
    before = Finding.objects.count()
    assert before
    Finding.objects.first().delete()  # type: ignore[union-attr]
    assert len(list(differences(scene.job))) == 1
    call_command("rebuild_state", job=scene.job.code)
    assert Finding.objects.count() == before
