"""Measure how fast findings follow from records, from nothing, on one core."""

from collections.abc import Iterator, Sequence
from uuid import UUID

from django.db import transaction

from bench import stored
from bench.measuring import Measure, Time, median_of, timed
from records.facts import Library, in_batches
from records.models import Finding, FitUp, Job, Joint, Pass
from records.refresh import judge_joints, refresh

JOINTS, LINES = 20_000, 200
TARGET = 4_000
RUNS = 3


def measures() -> Iterator[Measure]:
    """Findings of 20,000 joints: derived only, and derived and stored; the floor is to fetch the rows."""
    job = stored.store("JUDGED", joints=JOINTS, lines=LINES).job
    ids = list(Joint.objects.filter(job=job).order_by("id").values_list("id", flat=True))
    floor = median_of(lambda: _fetch(ids), runs=RUNS)
    yield _measure("findings", median_of(lambda: _judge(job, ids), runs=RUNS), floor)
    yield _measure("findings-stored", timed(lambda: _refresh(job, ids)), floor)
    found = Finding.objects.filter(job=job).values("joint_id").distinct().count()
    if found != stored.problems(JOINTS):
        raise AssertionError(f"{found} joints have findings, not the {stored.problems(JOINTS)} that the story tells of")


def _measure(name: str, taken: Time, floor: Time) -> Measure:
    rate = JOINTS / taken.wall
    return Measure(
        name=name,
        value=round(rate),
        unit="joints/s",
        rows=JOINTS,
        floor=round(JOINTS / floor.wall),
        ratio=round(taken.wall / floor.wall, 2),
        target=f"at least {TARGET:,} joints/s on one core",
        met=rate >= TARGET,
        cpu=round(taken.cpu, 2),
    )


def _judge(job: Job, ids: Sequence[UUID]) -> None:
    library = Library(job)
    people = library.people()
    for batch in in_batches(ids):
        judge_joints(job, batch, library=library, people=people)


@transaction.atomic
def _refresh(job: Job, ids: Sequence[UUID]) -> None:
    refresh(job, ids)


def _fetch(ids: Sequence[UUID]) -> None:
    for batch in in_batches(ids):
        for rows in (
            Joint.objects.filter(id__in=batch),
            *(m.objects.filter(joint_id__in=batch) for m in (FitUp, Pass)),
        ):
            list(rows.values_list())
