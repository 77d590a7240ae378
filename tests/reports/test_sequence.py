"""Chaining joints to runs."""

from reports.data import MapJoint, MapPiece, MapRun, Ring
from reports.sequence import IN_ORDER, Link, runs_of


def joint(number: int, spool: str = "", spool_b: str = "") -> MapJoint:
    return MapJoint(str(number), Ring("planned"), "butt", "NPS 2", spool=spool, spool_b=spool_b)


def link(number: int, a: str, b: str, **spools: str) -> Link:
    return Link(joint(number, **spools), a, b)


def shown(run: MapRun) -> str:
    parts = [run.pieces[0].mark + ("*" if run.pieces[0].again else "")]
    for item, piece in zip(run.joints, run.pieces[1:], strict=True):
        parts += [f"({item.number})", piece.mark + ("*" if piece.again else "")]
    return " ".join(parts)


def test_joints_follow_one_another_through_their_pieces() -> None:
    runs = runs_of([link(1, "A", "B"), link(2, "B", "C"), link(3, "C", "D")], {})
    assert [shown(run) for run in runs] == ["A (1) B (2) C (3) D"]


def test_a_branch_is_a_run_that_begins_at_the_piece_already_drawn() -> None:
    runs = runs_of([link(1, "A", "T"), link(2, "T", "B"), link(3, "T", "C"), link(4, "C", "D")], {})
    assert [shown(run) for run in runs] == ["A (1) T (2) B", "T* (3) C (4) D"]
    assert [run.name for run in runs] == ["Main run", "Branch at T"]


def test_a_joint_entered_the_other_way_round_is_turned_with_its_spools() -> None:
    runs = runs_of([link(1, "A", "B"), link(2, "C", "B", spool="S2", spool_b="S1")], {})
    assert shown(runs[0]) == "A (1) B (2) C"
    assert (runs[0].joints[1].spool, runs[0].joints[1].spool_b) == ("S1", "S2")


def test_the_first_run_begins_at_an_end_even_if_joint_1_is_in_the_middle() -> None:
    assert shown(runs_of([link(1, "B", "C"), link(2, "A", "B"), link(3, "C", "D")], {})[0]) == "A (2) B (1) C (3) D"


def test_a_closed_loop_ends_where_it_began() -> None:
    assert shown(runs_of([link(1, "A", "B"), link(2, "B", "C"), link(3, "C", "A")], {})[0]) == "A (1) B (2) C (3) A*"


def test_joints_without_pieces_stand_in_order_and_say_so() -> None:
    runs = runs_of([link(1, "", ""), link(2, "", "")], {})
    assert [shown(run) for run in runs] == [" (1)  (2) "]
    assert runs[0].name == IN_ORDER


def test_pieces_bring_what_is_known_of_them() -> None:
    runs = runs_of([link(1, "A", "B")], {"A": MapPiece("A", "pipe", "NPS 2", "H1")})
    assert runs[0].pieces[0].heat == "H1" and runs[0].pieces[1] == MapPiece("B")


def test_every_joint_is_drawn_once_whatever_the_input() -> None:
    odd = [link(1, "A", "A"), link(2, "A", ""), link(3, "", "B"), link(4, "A", "B"), link(5, "X", "Y"), link(6, "", "")]
    numbers = sorted(item.number for run in runs_of(odd, {}) for item in run.joints)
    assert numbers == ["1", "2", "3", "4", "5", "6"]


def test_nothing_gives_nothing() -> None:
    assert runs_of([], {}) == ()
