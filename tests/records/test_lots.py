"""Lots in the database: what is recorded on one joint is judged on the others of its lot, and stays in step."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from inspection.actions.pick_joints import pick_joints
from inspection.actions.record_examinations import record_examinations
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.record_passes import record_passes
from joints.actions.save_plan import save_plan
from joints.actions.withdraw_records import withdraw_records
from records.facts import Library
from records.lots import MOST_ALIKE, _scope, lots_touching, with_welds
from records.models import (
    Examination,
    ExamRule,
    Finding,
    FitUp,
    Job,
    Joint,
    Pass,
    Pick,
    SampleLot,
    Stamp,
    User,
    Withdrawal,
)
from records.rebuild import differences, rebuild
from records.refresh import refresh
from records.refusals import Implausible, NotAllowed
from rules.lots import BASES
from tests.builders import JointBuilder, LineBuilder, SheetBuilder, SpoolBuilder, StampBuilder, days_ago


@pytest.fixture
def welded(job: Job, joint: Joint, stamp: Stamp, engineer: User) -> list[Joint]:
    """Five welded joints of one line whose plan asks RT of 20 % of each line."""
    plan = joint.line.exam_plan
    ExamRule.objects.create(
        job=job, plan=plan, joint_kind="all", method="RT", share_percent=Decimal(20), lot_basis="line"
    )
    joints = [joint, *JointBuilder.create_batch(4, sheet=joint.sheet)]
    record_fit_ups([FitUp(joint=one, done_on=days_ago(3), by="A1") for one in joints], job=job, by=engineer)
    made = [(1, "root"), (2, "cap")]
    passes = [
        Pass(joint=one, order=n, role=r, stamp=stamp, process="GTAW", done_on=days_ago(3))
        for one in joints
        for n, r in made
    ]
    record_passes(passes, job=job, by=engineer)
    return joints


def codes(joint: Joint, *wanted: str) -> list[str]:
    rows = Finding.objects.filter(joint=joint, code__in=wanted or ("sample-short", "extra-examination-due"))
    return sorted(rows.values_list("code", flat=True))


def shoot(joint: Joint, job: Job, by: User, result: str = "accepted", days: int = 2) -> Examination:
    draft = Examination(joint=joint, method="RT", result=result, done_on=days_ago(days), by="Ines Carrow")
    [stored] = record_examinations([draft], job=job, by=by)
    return stored


def pick(joint: Joint, **more: object) -> Pick:
    told = {"method": "RT", "how": "by hand", "done_on": days_ago(2), "by": "Ines Carrow"}
    return Pick(**{"joint": joint} | told | more)


def test_a_lot_without_a_film_is_short_on_every_joint_until_one_is_examined(
    job: Job, welded: list[Joint], inspector: User
) -> None:
    assert [codes(one) for one in welded] == [["sample-short"]] * 5
    stops = Joint.objects.get(pk=welded[4].pk).stops
    shoot(welded[0], job, inspector)
    assert [codes(one) for one in welded] == [[]] * 5
    assert Joint.objects.get(pk=welded[4].pk).stops == stops - 1
    assert list(differences(job)) == []


def test_a_reject_asks_two_more_of_every_joint_of_the_welder(job: Job, welded: list[Joint], inspector: User) -> None:
    shoot(welded[0], job, inspector, "rejected")
    assert [codes(one) for one in welded] == [["extra-examination-due"]] * 5
    shoot(welded[1], job, inspector, days=1)
    shoot(welded[2], job, inspector, days=1)
    assert [codes(one) for one in welded] == [[]] * 5
    assert list(differences(job)) == []


def test_a_withdrawn_film_makes_the_lot_short_again(job: Job, welded: list[Joint], inspector: User) -> None:
    film = shoot(welded[0], job, inspector)
    gone = Withdrawal(joint=welded[0], kind="examination", record=film.id, reason="Another joint")
    withdraw_records([gone], job=job, by=inspector)
    assert codes(welded[3]) == ["sample-short"]
    assert list(differences(job)) == []


def test_a_picked_joint_is_due_and_the_others_are_not(job: Job, welded: list[Joint], inspector: User) -> None:
    [made] = pick_joints([pick(welded[1])], job=job, by=inspector)
    due = dict(Joint.objects.values_list("number", "due"))
    assert due[welded[1].number] == "VT, RT" or due[welded[1].number] == "RT, VT"
    assert due[welded[2].number] == "VT"
    [told] = Finding.objects.filter(joint=welded[1], code="examination-due", subject="RT")
    assert "picked for the share" in told.message
    withdraw_records(
        [Withdrawal(joint=welded[1], kind="pick", record=made.id, reason="Wrong joint")], job=job, by=inspector
    )
    assert Joint.objects.get(pk=welded[1].pk).due == "VT"


def test_who_may_not_choose_and_what_cannot_be(job: Job, welded: list[Joint], inspector: User, foreman: User) -> None:
    with pytest.raises(NotAllowed, match="choose samples"):
        pick_joints([pick(welded[1])], job=job, by=foreman)
    with pytest.raises(Implausible, match="random"):
        pick_joints([pick(welded[1], how="random")], job=job, by=inspector)
    assert not Pick.objects.exists()
    twice = pick(welded[1])
    pick_joints([twice], job=job, by=inspector)
    pick_joints([pick(welded[1], id=twice.id)], job=job, by=inspector)
    assert Pick.objects.count() == 1


def test_the_lots_cost_the_same_for_few_and_for_many_joints(
    job: Job, welded: list[Joint], django_assert_num_queries: object
) -> None:
    library = Library(job)
    assert library.lot_rules
    with django_assert_num_queries(7):  # type: ignore[operator]
        [one] = lots_touching(job, [welded[0].id], library)
    assert len(one.welds) == 5
    ExamRule.objects.filter(method="RT").update(lot_basis="week")
    library = Library(job)
    assert library.lot_rules
    with django_assert_num_queries(9):  # type: ignore[operator]
        [one] = lots_touching(job, [welded[0].id], library)
    assert len(one.welds) == 5


@pytest.mark.parametrize("basis", ["job", "week", "line"])
def test_a_joint_without_a_place_costs_one_query(
    job: Job, welded: list[Joint], engineer: User, basis: str, django_assert_num_queries: object
) -> None:
    ExamRule.objects.filter(method="RT").update(lot_basis=basis)
    fitted = JointBuilder(sheet=welded[0].sheet)
    record_fit_ups([FitUp(joint=fitted, done_on=days_ago(1), by="A1")], job=job, by=engineer)
    library = Library(job)
    assert library.lot_rules
    with django_assert_num_queries(1):  # type: ignore[operator]
        assert lots_touching(job, [fitted.id], library) == []


def test_a_plan_that_names_no_lot_is_not_judged(job: Job, welded: list[Joint], inspector: User) -> None:
    ExamRule.objects.filter(method="RT").update(lot_basis="")
    shoot(welded[0], job, inspector, "rejected")
    assert codes(welded[0]) == []
    assert lots_touching(job, None, Library(job)) == []


@pytest.fixture
def mixed(job: Job, welded: list[Joint], stamp: Stamp, engineer: User) -> list[Joint]:
    """Besides the five, joints of another line of the plan: of another service, kind, spool and welder, and one not welded."""
    first = welded[0]
    line = LineBuilder(job=job, exam_plan=first.line.exam_plan, service="steam", fluid_service="Category D")
    other = StampBuilder(job=job, code="B2")
    sheet = SheetBuilder(line=line)
    spools = [SpoolBuilder(line=one.line, mark="SP-X") for one in (first, sheet)]
    Joint.objects.filter(id__in=[one.id for one in welded[:2]]).update(spool=spools[0])
    Joint.objects.filter(id__in=[one.id for one in welded[2:]]).update(spool=None)
    more = [
        JointBuilder(sheet=sheet, kind="butt", socket_class="", spool=spools[1]),
        JointBuilder(sheet=sheet, kind="butt", socket_class="", spool=None),
        JointBuilder(sheet=sheet, spool=None),
        JointBuilder(sheet=sheet, spool=None),
    ]
    whose = [other, stamp, other]
    drafts = [
        Pass(joint=one, order=n, role=role, stamp=who, process="GTAW", done_on=days_ago(12))
        for one, who in zip(more, whose, strict=False)
        for n, role in ((1, "root"), (2, "cap"))
    ]
    record_passes(drafts, job=job, by=engineer)
    shoot(more[2], job, engineer)
    return [*welded, *more]


BASES_TRIED = [*BASES, "line, welder", "service and week", "welder and month", "kind, spool", "fluid service, welder"]


@pytest.mark.parametrize("most", [MOST_ALIKE, 0])
@pytest.mark.parametrize("basis", BASES_TRIED)
def test_the_lots_of_one_joint_are_those_of_the_job_that_it_is_in(
    job: Job, mixed: list[Joint], basis: str, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("records.lots.MOST_ALIKE", most)
    ExamRule.objects.filter(method="RT").update(lot_basis=basis)
    library = Library(job)
    every = lots_touching(job, None, library)
    assert sum(len(lot.welds) for lot in every) == 8
    for joint in mixed:
        mine = [lot for lot in every if any(one.id == joint.id.hex for one in lot.welds)]
        assert lots_touching(job, [joint.id], library) == mine
    pair = [mixed[0].id, mixed[5].id]
    theirs = [lot for lot in every if any(one.id in {key.hex for key in pair} for one in lot.welds)]
    assert lots_touching(job, pair, library) == theirs


@pytest.mark.parametrize("size", [None, 2])
@pytest.mark.parametrize("basis", BASES_TRIED)
def test_each_lot_is_kept_as_it_follows_and_judged_again_from_its_own_welds(
    job: Job, mixed: list[Joint], basis: str, size: int | None, django_assert_num_queries: Any
) -> None:
    ExamRule.objects.filter(method="RT").update(lot_basis=basis, lot_size=size)
    # What was kept by the line before goes away.
    rebuild(job)
    assert list(differences(job)) == []
    derived = {lot.name: lot for lot in lots_touching(job, None, Library(job))}
    rows = list(SampleLot.objects.select_related("job", "rule__plan"))
    assert {row.name for row in rows} == derived.keys()
    for row in rows:
        with django_assert_num_queries(5):
            assert with_welds(row) == derived[row.name]


def test_a_joint_that_goes_to_another_lot_leaves_the_one_before_in_step(
    job: Job, mixed: list[Joint], inspector: User
) -> None:
    other = mixed[-1].line
    shoot(mixed[0], job, inspector)
    assert [codes(one) for one in mixed[1:5]] == [[]] * 4
    Joint.objects.filter(pk=mixed[0].pk).update(line=other)
    refresh(job, [mixed[0].id])
    # The weld that was examined is no longer one of theirs.
    assert [codes(one) for one in mixed[1:5]] == [["sample-short"]] * 4
    assert list(differences(job)) == []


@pytest.fixture
def sized(job: Job, mixed: list[Joint]) -> list[Joint]:
    """The same welds in lots of two."""
    ExamRule.objects.filter(method="RT").update(lot_size=2)
    rebuild(job)
    assert list(differences(job)) == []
    return mixed


def _places() -> dict[str, int]:
    return {lot.name: lot.places.count() for lot in SampleLot.objects.all()}


def test_a_weld_that_goes_to_another_line_moves_those_after_it_up(job: Job, sized: list[Joint], engineer: User) -> None:
    one, other = sized[0].line.number, sized[-1].line.number
    assert _places() == {
        f"line {one}, no. 1": 2, f"line {one}, no. 2": 2, f"line {one}, no. 3": 1,
        f"line {other}, no. 1": 2, f"line {other}, no. 2": 1,
    }  # fmt: skip
    gone = Joint.objects.get(pk=sized[0].pk)
    gone.line, gone.sheet, gone.spool = sized[-1].line, sized[-1].sheet, None
    save_plan([gone], job=job, by=engineer, reason="It belongs to the other line")
    assert _places() == {
        f"line {one}, no. 1": 2, f"line {one}, no. 2": 2, f"line {other}, no. 1": 2, f"line {other}, no. 2": 2
    }  # fmt: skip
    assert list(differences(job)) == []


def test_a_weld_of_which_the_rule_speaks_no_more_moves_those_after_it_up(
    job: Job, sized: list[Joint], engineer: User
) -> None:
    rule, gone = ExamRule.objects.get(method="RT"), Joint.objects.get(pk=sized[0].pk)
    rule.joint_kind = gone.kind
    save_plan([rule], job=job, by=engineer, reason="Of this kind alone")
    assert list(differences(job)) == []
    gone.kind = "butt" if gone.kind != "butt" else "socket"
    save_plan([gone], job=job, by=engineer, reason="Drawn otherwise")
    assert list(differences(job)) == []


def test_a_weld_recorded_at_an_earlier_moment_takes_its_place_before_the_others(
    job: Job, sized: list[Joint], stamp: Stamp, engineer: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    # As a long import has it, which began before somebody recorded a cap and ends after.
    first = Pass.objects.order_by("recorded_at")[0].recorded_at
    monkeypatch.setattr("records.recording.timezone.now", lambda: first - timedelta(seconds=1))
    late = JointBuilder(sheet=sized[0].sheet)
    cap = Pass(joint=late, order=1, role="cap", stamp=stamp, process="GTAW", done_on=days_ago(3))
    record_passes([cap], job=job, by=engineer)
    place = SampleLot.objects.get(places__joint=late)
    assert place.name == f"line {late.line.number}, no. 1"
    assert place.places.count() == 2
    assert list(differences(job)) == []


def test_a_lot_by_spool_goes_by_the_spools_new_mark(job: Job, mixed: list[Joint], engineer: User) -> None:
    ExamRule.objects.filter(method="RT").update(lot_basis="spool")
    rebuild(job)
    spool = next(one.spool for one in Joint.objects.exclude(spool=None))
    spool.mark = "SP-NEW"
    save_plan([spool], job=job, by=engineer, reason="Marked anew")
    assert f"spool SP-NEW of {spool.line.number}" in _places()
    assert list(differences(job)) == []


def test_a_lot_whose_last_weld_goes_away_is_no_more(job: Job, mixed: list[Joint]) -> None:
    ExamRule.objects.filter(method="RT").update(lot_basis="")
    rebuild(job)
    assert not SampleLot.objects.exists()
    assert list(differences(job)) == []


def test_a_lot_that_was_tampered_with_is_named(job: Job, mixed: list[Joint]) -> None:
    SampleLot.objects.filter(name=f"line {mixed[0].line.number}").update(needed=0)
    line = mixed[0].line.number
    assert list(differences(job)) == [f"The lot of line {line}: it is stored otherwise than it follows from its welds."]
    rebuild(job)
    assert list(differences(job)) == []


def test_a_spool_of_the_same_mark_on_another_line_is_another_lot(job: Job, mixed: list[Joint]) -> None:
    ExamRule.objects.filter(method="RT").update(lot_basis="spool")
    named = {lot.name: len(lot.welds) for lot in lots_touching(job, None, Library(job))}
    one, other = mixed[0].line.number, mixed[-1].line.number
    assert named == {
        f"spool SP-X of {one}": 2, f"spool none of {one}": 3, f"spool SP-X of {other}": 1, f"spool none of {other}": 2
    }  # fmt: skip


@pytest.mark.parametrize("basis", ["welder", "service", "kind"])
def test_only_welds_alike_are_read_for_one_joint(job: Job, mixed: list[Joint], basis: str) -> None:
    ExamRule.objects.filter(method="RT").update(lot_basis=basis)
    rules = [(row, (basis,)) for row in ExamRule.objects.filter(method="RT")]
    assert set(_scope(job, rules, [mixed[5].id])) < set(_scope(job, rules, None))


def test_only_the_welds_of_its_week_are_read_for_one_joint(job: Job, mixed: list[Joint]) -> None:
    # The five were capped three days ago, the joints of the other line twelve: nine days apart are never one week.
    read = _read_for(job, "week", mixed[0])
    assert read == {one.id for one in mixed[:5]} | _examined(mixed, days_ago(3))
    assert len(_read_for(job, "week", mixed[5])) < len(_read_for(job, "job", mixed[5]))


def test_only_the_kind_that_the_rule_speaks_of_is_read(job: Job, mixed: list[Joint]) -> None:
    ExamRule.objects.filter(method="RT").update(joint_kind="butt")
    butts = {one.id for one in mixed if one.kind == "butt"}
    assert _read_for(job, "job", mixed[5]) == butts and len(butts) == 2


def _read_for(job: Job, basis: str, joint: Joint) -> set[object]:
    ExamRule.objects.filter(method="RT").update(lot_basis=basis)
    rules = [(row, (basis,)) for row in ExamRule.objects.filter(method="RT")]
    return set(_scope(job, rules, [joint.id]).values_list("id", flat=True))


def _examined(joints: list[Joint], day: date) -> set[object]:
    """Those that were examined in the week of the day; the lot of a week is among those with a record in it."""
    monday = day - timedelta(days=day.weekday())
    rows = Examination.objects.filter(joint__in=joints, done_on__range=(monday, monday + timedelta(days=6)))
    return set(rows.values_list("joint", flat=True))


@pytest.mark.parametrize(("first_batch", "more"), [("", "4 more"), ("each", "4 more"), ("all", "2 more")])
def test_what_two_rejects_of_a_first_sample_ask_is_a_setting(
    job: Job, welded: list[Joint], engineer: User, inspector: User, first_batch: str, more: str
) -> None:
    # ASME B31.3 341.3.4(a) is written for one defect: two more for each is the usual reading, two in all the other. Three
    # more welds of the line make it eight, of which six are left.
    Job.objects.filter(pk=job.pk).update(first_batch=first_batch)
    job.refresh_from_db()
    stamp = Pass.objects.filter(joint=welded[0]).first()
    assert stamp
    others = JointBuilder.create_batch(3, sheet=welded[0].sheet)
    caps = [
        Pass(joint=one, order=n, role=role, stamp=stamp.stamp, process="GTAW", done_on=days_ago(3))
        for one in others
        for n, role in ((1, "root"), (2, "cap"))
    ]
    record_passes(caps, job=job, by=engineer)
    for one in welded[:2]:
        shoot(one, job, inspector, "rejected")
    told = Finding.objects.filter(joint=welded[4], code="extra-examination-due").get()
    assert told.limit == more
