"""A restore from a backup begins a new epoch, which the journal says and its proof explains."""

from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from records import journal
from records.epochs import begin_epoch, epochs_of
from records.immutability import remove_triggers
from records.models import JournalEntry, JournalHead
from records.refusals import Implausible
from records.verify import first_bad
from tests.records.scene import Scene, open_job, plan, weld

pytestmark = pytest.mark.django_db
WHY = "the disk failed; backup of Monday night"


@pytest.fixture
def scene() -> Scene:
    return plan(*open_job())


def begin(scene: Scene) -> Any:
    return begin_epoch(scene.job, by=scene.engineer, reason=WHY)


def test_the_entry_names_the_head_at_which_the_backup_ended(scene: Scene) -> None:
    ended = journal.head_of(scene.job)
    assert (begin(scene).epoch, begin(scene).epoch) == (2, 3)
    first = JournalEntry.objects.filter(kind="epoch").order_by("number")[0]
    assert f'"after":"{ended}"' in first.payload
    assert (first.reason, first.written_by) == (WHY, scene.engineer)
    assert [one.epoch for one in epochs_of(scene.job)] == [2, 3]


def test_the_proof_accepts_it_and_what_is_recorded_after_it(scene: Scene) -> None:
    before = journal.head_of(scene.job)
    begin(scene)
    weld(scene, scene.joints["1"])
    assert first_bad(scene.job) is None
    assert first_bad(scene.job, head=before) is None


def test_a_head_of_the_lost_time_does_not_fit_and_the_restore_is_told(scene: Scene) -> None:
    number = int(journal.head_of(scene.job).split(":")[0])
    begin(scene)
    for lost in (number + 1, number + 40):
        bad = first_bad(scene.job, head=f"{lost}:{'a' * 64}")
        assert bad is not None and WHY in bad.message and f"entry {number + 1} " in bad.message
    earlier = first_bad(scene.job, head=f"{number - 1}:{'a' * 64}")
    assert earlier is not None and WHY not in earlier.message


def test_an_epoch_slipped_in_at_another_place_is_found(scene: Scene) -> None:
    begin(scene)
    remove_triggers(connection)
    entry = JournalEntry.objects.get(kind="epoch")
    entry.payload = entry.payload.replace('"after":"', '"after":"1')
    entry.hash = journal.entry_hash(entry)
    JournalEntry.objects.filter(number=entry.number).update(payload=entry.payload, hash=entry.hash)
    JournalHead.objects.filter(job=scene.job).update(hash=entry.hash)
    bad = first_bad(scene.job)
    assert bad is not None and "does not follow" in bad.message


def test_refuses_one_without_a_reason_and_writes_nothing(scene: Scene) -> None:
    with pytest.raises(Implausible):
        begin_epoch(scene.job, by=scene.engineer, reason=" ")
    assert epochs_of(scene.job) == []


def test_the_command_begins_one_on_each_job_and_the_proof_prints_them(
    scene: Scene, capsys: pytest.CaptureFixture[str]
) -> None:
    other, _ = open_job("J-2")
    call_command("begin_epoch", reason=WHY)
    assert len(epochs_of(scene.job)) == len(epochs_of(other)) == 1
    call_command("begin_epoch", job="J-2", reason=WHY)
    assert len(epochs_of(other)) == 2
    capsys.readouterr()
    call_command("verify_journal", job="J-2")
    said = capsys.readouterr().out
    assert "epoch 2 began" in said and "epoch 3 began" in said and WHY in said


def test_the_command_says_what_is_wrong(scene: Scene) -> None:
    for options, code in (({"job": "J-9"}, 1), ({"user": "nobody"}, 2), ({"reason": " "}, 2)):
        with pytest.raises(CommandError) as refused:
            call_command("begin_epoch", **{"reason": WHY, **options})
        assert refused.value.returncode == code
