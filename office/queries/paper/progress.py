"""The progress of a scope on paper: the curve, the weeks, the lines and the welders."""

from collections.abc import Iterator

from joints.queries.tally import tally_by_line
from office.queries.paper.batches import in_chunks
from office.queries.paper.title import About
from office.queries.progress import line_words
from office.queries.progress_weeks import Week, Weeks, tenths, weeks_of
from office.queries.progress_welders import SHARED, welders_of
from reports.list_paper import ListPaper, Section
from reports.table import Column
from rules.nps import inches_explained, inches_shown

WEEKS = (
    Column("Week from", 34, "bold"),
    Column("Planned so far", 36, anchor="end"),
    Column("Joints welded", 34, anchor="end"),
    Column("Dia-inches welded", 38, anchor="end"),
    Column("Welded so far", 36, anchor="end"),
    Column("Likely to come", 36, anchor="end"),
    Column("8 of 10 runs", 56, anchor="end"),
)
LINES = (
    Column("Line", 44, "bold"),
    Column("Service", 56),
    Column("Planned", 50),
    Column("Joints", 22, anchor="end"),
    Column("Dia-inches", 26, anchor="end"),
    Column("Welded dia-inches", 34, anchor="end"),
    Column("Released", 26, anchor="end"),
    Column("By the plan", 56),
)
WELDERS = (
    Column("Stamp", 30, "bold"),
    Column("Name", 70),
    Column("Employer", 60),
    Column("Joints", 30, anchor="end"),
    Column("Dia-inches", 36, anchor="end"),
    Column("Last four weeks", 44, anchor="end"),
)
HIGH = 300.0


def progress_paper(about: About) -> ListPaper:
    """Return the progress of a scope; four queries, and two for each 2,000 lines."""
    weeks = weeks_of(about.job, about.scope.joints())
    return ListPaper(
        about.title("Progress", "progress"),
        _sections(about, weeks),
        "No joint in this scope.",
        picture=weeks.picture(high=HIGH),
        notes=tuple(filter(None, (*weeks.told, inches_explained(about.job.units)))),
    )


def _sections(about: About, weeks: Weeks) -> Iterator[Section]:
    yield Section(WEEKS, map(_week, weeks.weeks), "Nothing is planned by day, and nothing welded.", "By week")
    yield Section(LINES, _lines(about, weeks), "No line in this scope.", "By line")
    welders = (
        (one.stamp, one.name, one.employer, f"{one.joints:,}", inches_shown(one.inches), inches_shown(one.lately))
        for one in welders_of(about.job, about.scope.joints())
    )
    yield Section(WELDERS, welders, "No joint is welded.", "By welder", SHARED)


def _week(one: Week) -> tuple[str, ...]:
    band = "" if one.low is None or one.high is None else f"{tenths(one.low)} to {tenths(one.high)}"
    joints = "" if one.joints is None else f"{one.joints:,}"
    figures = (one.planned, one.inches, one.so_far, one.likely)
    planned, inches, so_far, likely = ("" if value is None else tenths(value) for value in figures)
    return one.monday.isoformat(), planned, joints, inches, so_far, likely, band


def _lines(about: About, weeks: Weeks) -> Iterator[tuple[str, ...]]:
    rows = about.scope.lines().values_list("id", "number", "service", "planned_start", "planned_finish")
    for chunk in in_chunks(rows.iterator(chunk_size=2000)):
        tallies = tally_by_line([row[0] for row in chunk], about.scope.joints())
        for key, number, service, start, finish in chunk:
            tally = tallies[key]
            planned, standing = line_words(start, finish, tally, weeks.today, iso=True)
            yield (
                number, service, planned, f"{tally.joints:,}", tally.inches, inches_shown(tally.welded_inches),
                f"{tally.released:,}", standing,
            )  # fmt: skip
