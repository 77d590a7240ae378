"""Many rows at once, to hold a page's query count against the size of a job."""

from records.models import Finding, Heat, Job, Joint, Line, Sheet, Spool, Stamp
from rules.acting import finding_key
from tests.builders import HeatBuilder, LineBuilder, SheetBuilder, SpoolBuilder, StampBuilder, WelderBuilder

STATES = (
    ("planned", "fit up", ""),
    ("fitted", "weld", ""),
    ("in progress", "weld", ""),
    ("welded", "examine VT", "VT, RT"),
    ("rejected", "decide repair", ""),
    ("accepted", "release", ""),
    ("released", "nothing", ""),
)


def many_joints(job: Job, count: int, *, per_line: int = 100) -> list[Joint]:
    """Store so many joints in every state, with findings, heats, spools and stamps; derived columns are set by hand."""
    heats = [HeatBuilder(job=job) for _ in range(3)]
    stamp = StampBuilder(welder=WelderBuilder(job=job))
    joints: list[Joint] = []
    for start in range(0, count, per_line):
        sheet = SheetBuilder(line=LineBuilder(job=job))
        spool = SpoolBuilder(line=sheet.line)
        joints += [
            _joint(job, sheet, spool, heats, stamp, place) for place in range(start, min(start + per_line, count))
        ]
    Joint.objects.bulk_create(joints)
    Finding.objects.bulk_create(
        Finding(
            job=job,
            joint=joint,
            attempt="0",
            code="gap-out-of-range" if place % 2 else "pass-out-of-range",
            severity="correct" if place % 2 else "stop",
            message=f"Gap of joint {joint.number} too wide.",
            source="WPS W-11",
            sort_key=finding_key(
                "correct" if place % 2 else "stop",
                "gap-out-of-range" if place % 2 else "pass-out-of-range",
                joint.sort_key,
            ),
            owner="foreman",
        )
        for place, joint in enumerate(joints)
    )
    return joints


def _joint(job: Job, sheet: Sheet, spool: Spool, heats: list[Heat], stamp: Stamp, place: int) -> Joint:
    state, next_step, due = STATES[place % len(STATES)]
    return Joint(
        job=job,
        sheet=sheet,
        line=sheet.line,
        number=str(place + 1),
        sort_key=f"{sheet.drawing}/{sheet.number}/{place + 1:06}",
        kind="socket",
        location="shop",
        nps="1-1/2",
        schedule="80",
        od_mm="48.26",
        wall_mm="5.08",
        spool=spool,
        heat_a=heats[place % 3],
        heat_b=heats[(place + 1) % 3],
        state=state,
        next_step=next_step,
        due=due,
        assigned=stamp if place % 3 == 0 else None,
        stamps=f"{stamp.code}, Z9" if state not in ("planned", "fitted") else "",
        stops=int(place % 2 == 0),
        corrects=place % 2,
    )


def lines_of(job: Job) -> list[Line]:
    """The job's lines by number."""
    return list(Line.objects.filter(job=job).order_by("number"))
