"""Setting a limit of the owner: who may, once only, journalled, and judged at once."""

from decimal import Decimal

import pytest
from django.db.models import QuerySet

from joints.actions.set_owner_limits import set_owner_limits
from records import judging
from records.models import Finding, Job, Joint, JournalEntry, OwnerLimit, User, Work
from records.models.base import new_id
from records.rebuild import differences
from records.refusals import Implausible, NotAllowed
from tests.records.scene import Scene, open_job, plan, weld

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    """Six joints, the first two of them welded with a gap of 1.6 mm."""
    scene = plan(*open_job())
    for number in ("1", "2"):
        weld(scene, scene.joints[number])
    return scene


def limit(**changes: object) -> OwnerLimit:
    values: dict[str, object] = {
        "id": new_id(),
        "limit": "gap min",
        "value": Decimal(3),
        "typed": "3 mm",
        "specification": "PS-110",
        "clause": "6.3",
    }
    return OwnerLimit(**values | changes)


def mine() -> QuerySet[OwnerLimit]:
    """The limits set here; the scene has one on repairs."""
    return OwnerLimit.objects.exclude(limit="repairs max")


def entries() -> QuerySet[JournalEntry]:
    """What the journal says of them."""
    return JournalEntry.objects.filter(kind="ownerlimit").exclude(payload__contains="repairs max").order_by("number")


def flagged(job: Job) -> set[tuple[str, str, str]]:
    """(joint, code, source) of everything but the examination still due."""
    rows = Finding.objects.filter(job=job).exclude(code="examination-due")
    return set(rows.values_list("joint__number", "code", "source"))


def test_a_limit_is_kept_judged_at_once_and_journalled(scene: Scene) -> None:
    row = limit()
    assert set_owner_limits([row], job=scene.job, by=scene.engineer) == [row]
    source = "Owner's specification PS-110, 6.3"
    assert flagged(scene.job) == {("1", "gap-out-of-range", source), ("2", "gap-out-of-range", source)}
    entry = entries().get()
    assert entry.subject == row.id.hex and "PS-110" in entry.payload
    assert list(differences(scene.job)) == []


def test_withdrawing_it_ends_the_finding_and_keeps_both_versions(scene: Scene) -> None:
    row = limit()
    set_owner_limits([row], job=scene.job, by=scene.engineer)
    row.mode = "withdrawn"
    set_owner_limits([row], job=scene.job, by=scene.engineer, reason="revision 4 of the specification")
    assert flagged(scene.job) == set()
    assert [entry.reason for entry in entries()] == ["", "revision 4 of the specification"]


def test_the_same_limit_sent_twice_is_written_once(scene: Scene) -> None:
    row = limit()
    set_owner_limits([row], job=scene.job, by=scene.engineer)
    again = limit(id=row.id)
    assert set_owner_limits([again], job=scene.job, by=scene.engineer) == []
    assert entries().count() == 1


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"limit": "colour"}, "limit"),
        ({"joint_kind": "elbow"}, "joint kind"),
        ({"service": "Steam"}, "service"),
        ({"mode": "ignored"}, "mode"),
        ({"specification": " "}, "specification"),
    ],
)
def test_what_there_is_none_of_is_refused_and_nothing_is_written(
    scene: Scene, changes: dict[str, object], field: str
) -> None:
    with pytest.raises(Implausible) as refused:
        set_owner_limits([limit(**changes)], job=scene.job, by=scene.engineer)
    assert [fault.field for fault in refused.value.faults] == [field]
    assert not mine().exists() and not entries().exists()


def test_a_second_row_for_the_same_joints_is_refused(scene: Scene) -> None:
    set_owner_limits([limit()], job=scene.job, by=scene.engineer)
    with pytest.raises(Implausible, match="The limit gap min is set already"):
        set_owner_limits([limit(value=Decimal(2))], job=scene.job, by=scene.engineer)
    set_owner_limits([limit(joint_kind="groove")], job=scene.job, by=scene.engineer)
    assert mine().count() == 2


def test_a_change_says_why(scene: Scene) -> None:
    row = limit()
    set_owner_limits([row], job=scene.job, by=scene.engineer)
    row.value = Decimal(2)
    with pytest.raises(Implausible, match="Say why"):
        set_owner_limits([row], job=scene.job, by=scene.engineer)
    assert mine().get().value == 3


def test_who_may_not_changes_nothing(scene: Scene) -> None:
    with pytest.raises(NotAllowed):
        set_owner_limits([limit()], job=scene.job, by=User.objects.create_user("stranger"))
    assert not mine().exists()


def test_on_a_large_job_the_joints_are_judged_in_the_background(scene: Scene, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(judging, "AT_ONCE", 1)
    set_owner_limits([limit()], job=scene.job, by=scene.engineer)
    assert Joint.objects.filter(is_stale=True).count() == 6
    assert Work.objects.get().kind == "refresh findings"
