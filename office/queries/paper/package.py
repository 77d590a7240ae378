"""A turnover package as data: every paper of a scope, in the order in which it is bound."""

from pathlib import Path

from office.queries.paper.certificates import Found
from office.queries.paper.cover import cover
from office.queries.paper.drawings import Drawing, drawings, without_findings
from office.queries.paper.examinations import examinations
from office.queries.paper.findings import findings
from office.queries.paper.fit_up_log import fit_up_log
from office.queries.paper.heats import heat_list
from office.queries.paper.lots import lots_paper
from office.queries.paper.marked_sheets import marked_sheets
from office.queries.paper.missing import missing, missing_items
from office.queries.paper.points import points_paper
from office.queries.paper.spool_release import spool_releases
from office.queries.paper.title import About
from office.queries.paper.weld_log import weld_log
from office.queries.paper.welders import welder_register
from records.models import Sheet
from records.work import Tell
from reports.data import MarkedSheet, MissingData, PackageData
from reports.isometric.drawn import Isometric


def package_data(about: About, found: Found, folder: Path, tell: Tell) -> tuple[PackageData, int]:
    """Return a package's papers, the long ones read as they are drawn, and how much is still missing.

    found   the certificates as they lie in storage
    folder  where files are put that are made on the way
    Everything must be read in one snapshot, or the papers and the journal's head would speak of different moments.
    """
    absent = [*missing_items(about), *found.faults]
    maps: list[Drawing | MarkedSheet] = []
    for done, line in enumerate(lines := list(about.scope.lines())):
        tell("Laying out the weld maps", done, len(lines))
        sheets = Sheet.objects.filter(line=line)
        for drawn in without_findings(drawings(about, sheets, as_built=True, legs=True)):
            maps += [drawn] if isinstance(drawn, Isometric) else [*marked_sheets(about, line, drawn, folder), drawn]
    samples_and_points = lots_paper(about), points_paper(about)
    data = PackageData(
        cover=cover(about, missing=len(absent)),
        missing=MissingData(missing(about).title, absent),
        weld_maps=tuple(maps),
        weld_log=weld_log(about),
        logs=(fit_up_log(about, signatures=()), *(one for one in samples_and_points if one.sections)),
        findings=findings(about),
        examinations=examinations(about),
        welders=welder_register(about),
        heats=heat_list(about),
        releases=spool_releases(about),
        certificates=found.sets,
    )
    return data, len(absent)
