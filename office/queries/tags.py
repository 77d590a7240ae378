"""What stands on the tags of a line's spools and joints."""

from collections.abc import Callable
from uuid import UUID

from django.db.models import Count, F, Q

from records.models import Joint, Line, Spool
from reports.tags import Tag
from rules.size_words import show_pipe_size

Address = Callable[[UUID], str]


def joint_tags(line: Line, address: Address) -> list[Tag]:
    """Return a tag for each joint of a line that is not withdrawn, in the order of their numbers; one query.

    address  the whole address of a joint's page
    """
    joints = (
        Joint.objects.filter(line=line)
        .exclude(state="withdrawn")
        .order_by("sort_key")
        .values_list(
            "id", "number", "sheet__drawing", "sheet__number", "kind", "location", "nps", "schedule", "spool__mark",
            "spool_b__mark", "job__units", named=True,
        )
    )  # fmt: skip
    return [
        Tag(
            f"Joint {one.number}",
            (
                f"{one.sheet__drawing} sheet {one.sheet__number}",
                f"{one.kind}, {one.location}",
                show_pipe_size(one.nps, one.schedule, one.job__units),
                _spools(one.spool__mark, one.spool_b__mark),
                f"Line {line.number}",
            ),
            address(one.id),
        )
        for one in joints
    ]


def spool_tags(line: Line, address: Address) -> list[Tag]:
    """Return a tag for each spool of a line, in the order of their marks; one query.

    address  the whole address of a spool's page
    """
    spools = (
        Spool.objects.filter(line=line)
        .annotate(count=Count("joints", filter=~Q(joints__state="withdrawn")), client=F("job__client"))
        .order_by("sort_key")
        .values_list("id", "mark", "count", "job__code", "client", named=True)
    )
    return [
        Tag(
            one.mark,
            (
                f"Line {line.number}",
                f"Job {one.job__code}",
                f"{one.count} {'joint' if one.count == 1 else 'joints'}",
                *((one.client,) if one.client else ()),
            ),
            address(one.id),
        )
        for one in spools
    ]


def _spools(mark: str | None, other: str | None) -> str:
    marks = [one for one in (mark, other) if one]
    return f"Spool {' / '.join(marks)}" if marks else "No spool"
