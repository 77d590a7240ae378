"""Papers from what is known: their rows, in the job's units, in a number of queries that does not grow."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from office.queries.paper.batches import joint_batches
from office.queries.paper.drawings import drawings
from office.queries.paper.examinations import examinations
from office.queries.paper.findings import findings
from office.queries.paper.heats import heat_list
from office.queries.paper.missing import missing_items
from office.queries.paper.title import About, about
from office.queries.paper.weld_log import weld_log
from office.queries.paper.weld_map import as_one
from office.queries.paper.welders import welder_register
from office.queries.scope import Scope, scope_of
from records.models import Joint, Sheet
from records.refusals import Implausible
from reports.data import WeldMapData
from tests.records.scene import Scene, look, open_job, plan, weld


def weld_maps(of: About) -> list[WeldMapData]:
    found = drawings(of, Sheet.objects.filter(line=of.scope.lines()[0]))
    return [one for one in found if isinstance(one, WeldMapData)]


def papers(of: About) -> dict[str, Callable[[], object]]:
    return {
        "weld maps": lambda: weld_maps(of),
        "weld log": lambda: list(weld_log(of).rows),
        "findings": lambda: list(findings(of).rows),
        "examinations": lambda: [list(paper.rows) for paper in examinations(of)],
        "welders": lambda: list(welder_register(of).welders),
        "heats": lambda: (list(heat_list(of).rows), list(heat_list(of).fillers)),
        "missing": lambda: list(missing_items(of)),
    }


def queries_of(scene: Scene) -> dict[str, int]:
    counts = {}
    for name, read in papers(about(Scope(scene.job))).items():
        with CaptureQueriesContext(
            connection,
        ) as queries:
            read()
        counts[name] = len(queries)
    return counts


def a_job(code: str, joints: int) -> Scene:
    scene = plan(*open_job(code), joints=joints)
    for joint in scene.joints.values():
        weld(scene, joint)
        look(scene, joint, "accepted")
    return scene


@pytest.mark.django_db
def test_a_larger_job_costs_no_more_queries() -> None:
    assert queries_of(a_job("S-1", 2)) == queries_of(a_job("L-1", 7))


def test_the_weld_log_has_a_row_for_each_attempt(scene: Scene) -> None:
    rows = [row for row in weld_log(about(Scope(scene.job))).rows if row.joint == "ISO-2001/1/2"]
    assert [(row.attempt, row.state) for row in rows] == [("0", "repaired"), ("R1", "planned")]
    assert rows[0].stamps == "root cap K7"
    assert rows[0].heats == "H-100 / H-100"
    assert rows[0].examinations == "VT rejected 2026-09-15"


def test_findings_carry_the_override_beside_them(scene: Scene) -> None:
    rows = [row for row in findings(about(Scope(scene.job))).rows if row.override]
    assert [(row.code, row.override) for row in rows] == [("examination-due", "QC, 2026-09-14: Seen on site")]


def test_examinations_show_the_computed_verdict_beside_the_examiners(scene: Scene) -> None:
    (paper,) = examinations(about(Scope(scene.job)))
    row = next(row for row in paper.rows if row.joint == "ISO-2001/1/1")
    assert row.measured == "leg A 1/4 in, leg B 1/4 in"
    assert row.computed == "Leg at least 7/32 in: within (unconfirmed)"
    assert (row.result, row.examiner) == ("accepted", "Ansel Vroom")


def test_a_withdrawn_fit_up_is_on_no_paper(scene: Scene) -> None:
    row = next(row for row in weld_log(about(Scope(scene.job))).rows if row.joint == "ISO-2001/1/4")
    assert row.state == "planned"


def test_the_register_counts_joints_welded_and_names_the_range(scene: Scene) -> None:
    (welder,) = welder_register(about(Scope(scene.job))).welders
    assert (welder.stamp, welder.name, welder.joints) == ("K7", "Ode Fenwright", "welded on 3 joints")
    assert welder.qualifications[0].number == "K7-1"
    assert welder.qualifications[0].diameter


def test_heats_name_their_joints(scene: Scene) -> None:
    (heat,) = heat_list(about(Scope(scene.job))).rows
    assert heat.joints == "ISO-2001/1: 1, 2, 3, 4, 5, 6"
    assert heat.certificate == "MC-77"
    assert "C 0.20" in heat.chemistry


def test_what_is_missing_is_told_once(scene: Scene) -> None:
    items = list(missing_items(about(Scope(scene.job))))
    assert len(items) == len({(item.group, item.subject, item.what) for item in items})
    assert ("Joints to fit and weld", "ISO-2001/1/5") in {(item.group, item.subject) for item in items}


def test_an_exam_plan_below_the_code_is_missing_too(scene: Scene) -> None:
    of, group = about(Scope(scene.job)), "Exam plans below the code"
    assert group not in {item.group for item in missing_items(of)}
    [line] = of.scope.lines()
    Joint.objects.filter(job=scene.job, number="1").update(kind="butt")
    told = "RT or UT: the plan asks 0 % of butt welds, and the code's least is 5 % (ASME B31.3-2012 341.4.1)."
    found = [(item.subject, item.what) for item in missing_items(of) if item.group == group]
    assert found == [(line.number, told)]


def test_a_spool_has_only_its_joints(scene: Scene) -> None:
    Joint.objects.filter(job=scene.job, number__in=["5", "6"]).update(spool=None)
    spool = scope_of(scene.job, "spool", "SP-1")
    assert [row.joint for row in weld_log(about(spool)).rows if row.attempt == "0"] == [
        f"ISO-2001/1/{number}" for number in (1, 2, 3, 4)
    ]


def test_maps_of_several_sheets_make_one_drawing(scene: Scene) -> None:
    of = about(Scope(scene.job))
    maps = weld_maps(of)
    assert len(maps) == 1
    assert as_one(maps * 2).title.sheet == ""
    assert len(as_one(maps * 2).runs) == 2 * len(maps[0].runs)


def test_batches_lose_and_double_no_joint(scene: Scene, monkeypatch: pytest.MonkeyPatch) -> None:
    Joint.objects.filter(job=scene.job).update(sort_key="the same")
    monkeypatch.setattr("office.queries.paper.batches.BATCH", 2)
    seen = [joint.id for batch in joint_batches(Scope(scene.job)) for joint in batch]
    assert sorted(seen) == sorted(joint.id for joint in scene.joints.values())


@pytest.mark.parametrize(("kind", "which"), [("line", "NONE"), ("spool", "NONE"), ("yard", "")])
def test_refuses_a_scope_that_the_job_does_not_have(scene: Scene, kind: str, which: str) -> None:
    with pytest.raises(Implausible):
        scope_of(scene.job, kind, which)
