"""Applying a route: who may, what it makes, what it keeps, what it withdraws, once only, and journalled."""

from decimal import Decimal

import pytest

from joints.actions.apply_route import apply_route
from joints.actions.record_fit_ups import record_fit_ups
from joints.actions.save_plan import save_plan
from joints.queries.routes import Proposal, propose, shape_of_sheet
from records.models import FitUp, Job, Joint, JournalEntry, Piece, Route, Sheet, Spool, User, Withdrawal
from records.rebuild import differences
from records.refusals import Implausible, NotAllowed, RecordClash
from records.verify import first_bad
from tests.builders import MembershipBuilder, UserBuilder, days_ago
from tests.records.scene import Scene, open_job, plan, weld

pytestmark = pytest.mark.django_db

# Five joints of NPS 1 in feet and inches, and a sixth, the cap's, is none: the end is open.
ROUTE = "ends socket\nflange 150\nrun north 4'\nelbow\nrun up 2' 6\"\nelbow\nrun east 3'\nopen end\n"
LONGER = ROUTE.replace("run up 2' 6\"", "run up 2' 6\"\ncoupling\nrun up 1'")


@pytest.fixture
def scene() -> Scene:
    """Six planned socket joints without a route, on one sheet."""
    return plan(*open_job())


@pytest.fixture
def bare() -> tuple[Sheet, User]:
    """A sheet of a line without joints."""
    scene = plan(*open_job(), joints=0)
    return Sheet.objects.select_related("line", "job").get(job=scene.job), scene.engineer


def sheet_of(job: Job) -> Sheet:
    return Sheet.objects.select_related("line", "job").get(job=job)


def apply(sheet: Sheet, by: User, text: str = ROUTE, *, reason: str = "", revision: str = "A") -> Proposal:
    base = propose(sheet, text).base
    return apply_route(sheet, text, base=base, revision=revision, reason=reason, by=by)


def test_a_first_route_makes_joints_pieces_and_spools(bare: tuple[Sheet, User]) -> None:
    sheet, engineer = bare
    apply(sheet, engineer)
    joints = list(Joint.objects.filter(sheet=sheet).order_by("sort_key"))
    assert [(one.number, one.kind, one.location, one.nps) for one in joints] == [
        (str(number), "socket", "shop", "1") for number in range(1, 6)
    ]
    assert {one.spool.mark for one in joints if one.spool} == {"1-GL-2001-1A"}
    # The sheet has a piece 1 already, which no joint joins: new marks go on from there.
    first = joints[0]
    assert first.piece_a and first.piece_b
    assert (first.piece_a.kind, first.piece_b.kind) == ("flange-socket", "pipe")
    # A flange beside a pipe of A106 B is of A105.
    assert (first.material_a, first.material_b) == ("A105", "A106 B")
    # 48 in - (0.62 + 0.06 - 0.50) - 0.88 - 2 x 1/16 = 46.815 in
    assert float(first.piece_b.length_mm or 0) / 25.4 == pytest.approx(46.815)
    assert Route.objects.get(sheet=sheet).numbers == ["1", "2", "3", "4", "5"]
    assert JournalEntry.objects.filter(kind="route").count() == 1
    assert not list(differences(sheet.job))
    assert first_bad(sheet.job) is None


def test_twice_is_once(bare: tuple[Sheet, User]) -> None:
    sheet, engineer = bare
    apply(sheet, engineer)
    entries = JournalEntry.objects.count()
    apply(sheet, engineer)
    assert JournalEntry.objects.count() == entries


def test_a_longer_route_keeps_numbers_and_adds_the_next(bare: tuple[Sheet, User]) -> None:
    sheet, engineer = bare
    apply(sheet, engineer)
    marks = {one.number: (one.piece_a_id, one.piece_b_id) for one in Joint.objects.filter(sheet=sheet)}
    done = apply(sheet, engineer, LONGER, reason="revision B", revision="B")
    fates = {one.number: one.fate for one in done.changes}
    assert fates == {"1": "kept", "2": "kept", "3": "kept", "6": "new", "7": "new", "4": "moved", "5": "moved"}
    assert Route.objects.get(sheet=sheet).numbers == ["1", "2", "3", "6", "7", "4", "5"]
    after = {one.number: (one.piece_a_id, one.piece_b_id) for one in Joint.objects.filter(sheet=sheet)}
    assert {number: after[number] for number in "125"} == {number: marks[number] for number in "125"}
    assert Sheet.objects.get(pk=sheet.pk).revision == "B"
    shape = shape_of_sheet(sheet)
    assert shape and [one.number for one in shape.joints] == ["1", "2", "3", "6", "7", "4", "5"]


def test_joints_that_are_gone_are_withdrawn_and_their_records_stay(scene: Scene) -> None:
    weld(scene, scene.joints["6"])
    sheet = sheet_of(scene.job)
    proposal = propose(sheet, ROUTE)
    assert [(one.number, one.fate) for one in proposal.changes if one.fate != "kept"][-1] == ("6", "withdrawn")
    assert proposal.changes[-1].undoes == ("1 fit-up, 2 passes",)
    apply(sheet, scene.engineer, reason="the end is open now")
    assert Joint.objects.get(pk=scene.joints["6"].pk).state == "withdrawn"
    assert Withdrawal.objects.get(joint=scene.joints["6"]).reason == "the end is open now"
    assert scene.joints["6"].passs.count() == 2
    assert not list(differences(scene.job))


def test_a_number_that_was_withdrawn_is_never_given_again(scene: Scene) -> None:
    sheet = sheet_of(scene.job)
    apply(sheet, scene.engineer, reason="five joints")
    apply(sheet, scene.engineer, LONGER, reason="a coupling")
    assert Route.objects.get(sheet=sheet).numbers == ["1", "2", "3", "7", "8", "4", "5"]


def test_asks_why_where_joints_change(scene: Scene) -> None:
    with pytest.raises(Implausible, match="say why"):
        apply(sheet_of(scene.job), scene.engineer)
    assert not Route.objects.exists()


def test_refuses_a_route_with_faults(bare: tuple[Sheet, User]) -> None:
    sheet, engineer = bare
    with pytest.raises(Implausible) as refused:
        apply(sheet, engineer, "run nort 4'")
    assert refused.value.faults[0].message.startswith("line 1, column 5: There is no direction")
    assert not Route.objects.exists()


def test_refuses_what_was_shown_for_something_else(bare: tuple[Sheet, User]) -> None:
    sheet, engineer = bare
    base = propose(sheet, ROUTE).base
    apply(sheet, engineer)
    with pytest.raises(RecordClash, match="changed since"):
        apply_route(sheet, LONGER, base=base, revision="B", reason="late", by=engineer)


def test_says_which_joints_keep_a_material_that_the_line_no_longer_asks(bare: tuple[Sheet, User]) -> None:
    sheet, engineer = bare
    apply(sheet, engineer)
    assert propose(sheet, LONGER).other_materials == ()
    line = sheet.line
    line.material = "A312 TP304L"
    save_plan([line], job=sheet.job, by=engineer, reason="by the client's revision")
    sheet = sheet_of(sheet.job)
    # Beside A312 TP304L forged fittings and flanges are of A182 F304L (common practice, no source).
    told = propose(sheet, LONGER).other_materials
    all_of_them, end = "Joints 1, 2, 3, 4, 5 stay planned in", "; the sheet Joints changes it, a route does not."
    assert told == (
        f"{all_of_them} A105 where the line's material asks A182 F304L{end}",
        f"{all_of_them} A106 B where the line's material asks A312 TP304L{end}",
    )
    apply(sheet, engineer, LONGER, reason="revision B")
    assert Joint.objects.get(sheet=sheet, number="1").material_a == "A105"
    assert {one.material_a for one in Joint.objects.filter(sheet=sheet, number__in=["6", "7"])} == {
        "A182 F304L",
        "A312 TP304L",
    }


def test_only_who_plans_may(bare: tuple[Sheet, User]) -> None:
    sheet, _ = bare
    foreman = UserBuilder.create()
    MembershipBuilder.create(job=sheet.job, user=foreman, role="foreman")
    with pytest.raises(NotAllowed):
        apply(sheet, foreman)
    assert not Joint.objects.exists() and not Spool.objects.exclude(mark="SP-1").exists()
    assert Piece.objects.count() == 1


BOLTED = ROUTE.replace("open end", "flange 150\ngasket 1/8 in\nvalve V-1 length 8 in bolted")


def test_applied_again_a_route_makes_no_piece_twice(bare: tuple[Sheet, User]) -> None:
    sheet, engineer = bare
    apply(sheet, engineer, BOLTED)
    marks = set(Piece.objects.filter(sheet=sheet).values_list("mark", flat=True))
    again = propose(sheet, BOLTED)
    # The sheet of the scene came with a piece 1, which no route has.
    assert again.left_pieces == ("1",)
    apply(sheet, engineer, BOLTED.replace("run east 3'", "run east 4'"), reason="moved")
    assert set(Piece.objects.filter(sheet=sheet).values_list("mark", flat=True)) == marks
    valve = next(one for one in propose(sheet, BOLTED).numbered.components if one.kind == "valve")
    assert Piece.objects.get(sheet=sheet, kind="valve").mark == valve.mark


def test_pipes_of_another_length_are_told_and_first_those_that_are_begun(bare: tuple[Sheet, User]) -> None:
    sheet, engineer = bare
    apply(sheet, engineer)
    assert propose(sheet, ROUTE).other_lengths == ()
    third = Joint.objects.get(sheet=sheet, number="3")
    record_fit_ups([FitUp(joint=third, done_on=days_ago(2), by="A1")], job=sheet.job, by=engineer)
    longer = propose(sheet, ROUTE.replace("run north 4'", "run north 5'").replace("run up 2' 6\"", "run up 2' 8\""))
    marks = {joint.number: (joint.piece_a.mark, joint.piece_b.mark) for joint in Joint.objects.filter(sheet=sheet)}
    told = [(one.mark, one.now_mm - one.before_mm, one.begun) for one in longer.other_lengths]
    # Joint 3 is that of the elbow and the rising pipe, which becomes 2 in longer; the first pipe a foot.
    assert told == [
        (marks["3"][1], pytest.approx(Decimal("50.8")), (("3", "fitted"),)),
        (marks["1"][1], pytest.approx(Decimal("304.8")), ()),
    ]


def test_spools_that_a_route_has_no_more_are_told(bare: tuple[Sheet, User]) -> None:
    sheet, engineer = bare
    apply(sheet, engineer, ROUTE.replace("run east 3'", "field weld\nrun east 3'"))
    assert propose(sheet, ROUTE).left_spools == ("1-GL-2001-1B",)
    assert propose(sheet, ROUTE.replace("run east 3'", "field weld\nrun east 3'")).left_spools == ()
