"""The sheets Piece events, Spool steps and Lot moves: read whole, once only, and what is wrong with a cell."""

from pathlib import Path

import pytest

from joints.actions.withdraw_shop_records import withdraw_shop_records
from records.models import Finding, Job, LotMove, Piece, PieceEvent, Spool, SpoolStep, Withdrawal
from records.rebuild import differences
from records.verify import first_bad
from tests.builders import MembershipBuilder, UserBuilder
from tests.office.importing.books import CODE, import_sheets
from tests.office.workbooks import Sheets, clean_sheets

pytestmark = pytest.mark.django_db
DAY = "2026-09-10"
COMPONENTS: list[list[object]] = [
    ["drawing", "sheet", "piece", "kind", "NPS", "schedule", "material", "heat", "length"],
    ["ISO-1", "1", "P1", "pipe", "2", "80", "A106 Gr. B", "H-1", "10 ft"],
    ["ISO-1", "1", "2", "pipe", "2", "80", "A106 Gr. B", "H-1", "3 ft"],
]
PIECES: list[object] = [
    "drawing", "sheet", "piece", "event", "date", "by", "part", "mark transferred", "mark by", "length", "place", "remark",
]  # fmt: skip
STEPS: list[object] = ["line", "spool", "step", "date", "by", "result", "place", "remark"]
MOVES: list[object] = ["lot", "move", "stamp", "date", "quantity", "oven", "by", "place", "remark"]


def piece_row(piece: str, event: str, **more: object) -> list[object]:
    row: dict[object, object] = dict.fromkeys(PIECES)
    row |= {"drawing": "ISO-1", "sheet": "1", "piece": piece, "event": event, "date": DAY, "by": "Store One"} | more
    return list(row.values())


def a_day_in_the_shop() -> Sheets:
    return clean_sheets() | {
        "Components": COMPONENTS,
        "Piece events": [
            PIECES,
            piece_row("P1", "received", place="Rack 2"),
            piece_row("P1", "cut", part="2", **{"mark transferred": "yes", "mark by": "A1", "length": "3 ft"}),
            piece_row("P1", "cut", part="P1X", **{"mark transferred": "no", "length": "6 ft"}),
            piece_row("P1X", "back to stock", place="Rack 3", date="2026-09-11"),
        ],
        "Spool steps": [
            STEPS,
            ["L-100", "SP-1", "DC", DAY, "Examiner One", "OK", "Bay 1", None],
            ["L-100", "SP-1", "released", "2026-09-11", "Examiner One", None, None, None],
        ],
        "Lot moves": [
            MOVES,
            ["L-1", "out", "A1", "2026-09-01 07:00", "5 lb", "Oven 1", "Store One", None, None],
            ["L-1", "in", "A1", "2026-09-01 16:00", "20 rods", None, None, None, None],
        ],
    }


def test_a_day_in_the_shop_is_recorded_and_the_states_follow(tmp_path: Path) -> None:
    outcome = import_sheets(a_day_in_the_shop(), tmp_path)
    assert outcome.faults == []
    assert {name: outcome.counts[name].new for name in ("Piece events", "Spool steps", "Lot moves")} == {
        "Piece events": 4, "Spool steps": 2, "Lot moves": 2,
    }  # fmt: skip
    assert dict(Piece.objects.values_list("mark", "state")) == {"P1": "cut up", "2": "cut to size", "P1X": "in stock"}
    offcut = Piece.objects.get(mark="P1X")
    assert (offcut.heat.number if offcut.heat else "", offcut.nps, offcut.place) == ("H-1", "2", "Rack 3")
    # 3 ft is 914.4 mm.
    cut = PieceEvent.objects.get(part__mark="2")
    assert (float(cut.length_mm or 0), cut.mark_transferred, cut.mark_by, cut.typed) == (
        914.4, True, "A1", {"length": "3 ft"},
    )  # fmt: skip
    assert Spool.objects.get(mark="SP-1").state == "released"
    # 5 lb is 2.268 kg.
    out, back = LotMove.objects.order_by("done_at")
    assert (float(out.quantity or 0), out.unit, out.typed) == (2.268, "kg", {"quantity": "5 lb"})
    assert (back.move, back.quantity, back.unit) == ("returned", 20, "pieces")
    # Lot L-1 went to A1 before any pass; nobody was given L-2, which the butts' fill and cap name.
    noted = Finding.objects.filter(code="lot-not-issued").values_list("joint__number", "subject")
    assert set(noted) == {("3", "L-2"), ("4", "L-2")}
    job = Job.objects.get(code=CODE)
    assert list(differences(job)) == []
    assert first_bad(job, head=outcome.head) is None


def test_the_same_again_changes_nothing_even_what_was_withdrawn(tmp_path: Path) -> None:
    import_sheets(a_day_in_the_shop(), tmp_path)
    job = Job.objects.get(code=CODE)
    engineer = MembershipBuilder(job=job, user=UserBuilder(), role="engineer").user
    gone = PieceEvent.objects.get(event="returned")
    withdraw_shop_records([Withdrawal(kind="pieceevent", record=gone.id, reason="Not yet")], job=job, by=engineer)
    outcome = import_sheets(a_day_in_the_shop(), tmp_path)
    assert (outcome.is_changed, outcome.faults) == (False, [])
    assert outcome.counts["Piece events"].unchanged == 4
    assert (PieceEvent.objects.count(), SpoolStep.objects.count(), LotMove.objects.count()) == (4, 2, 2)


def test_a_changed_fact_is_refused(tmp_path: Path) -> None:
    import_sheets(a_day_in_the_shop(), tmp_path)
    sheets = a_day_in_the_shop()
    sheets["Spool steps"][1][6] = "Bay 2"
    outcome = import_sheets(sheets, tmp_path)
    assert outcome.faults == [
        "Spool steps!D2: already recorded otherwise; a changed fact is corrected on the page of the spool"
    ]


@pytest.mark.parametrize(
    ("sheet", "row", "place", "says"),
    [
        ("Piece events", piece_row("P9", "received"), "C2", 'there is no piece "P9"'),
        ("Piece events", piece_row("P1", "melted"), "D2", "is no event of a piece"),
        ("Piece events", piece_row("P1", "received", part="2"), "G2", "a part comes of a cut or a split"),
        ("Piece events", piece_row("P1", "cut", part="P1"), "G2", "a part comes of a cut or a split"),
        ("Piece events", piece_row("P1", "cut", part="2", length="0"), "J2", "this length can't be"),
        ("Piece events", piece_row("P1", "received", date="2126-09-10"), "E2", "in the future"),
        ("Spool steps", ["L-100", "SP-9", "shipped", DAY, "Yard", None, None, None], "B2", 'there is no spool "SP-9"'),
        ("Spool steps", ["L-100", "SP-1", "DC", DAY, "Yard", None, None, None], "F2", "has a result"),
        ("Spool steps", ["L-100", "SP-1", "shipped", DAY, "Yard", "OK", None, None], "F2", "no other step has one"),
        ("Lot moves", ["L-9", "out", "A1", DAY, "5 lb", None, None, None, None], "A2", "there is no filler lot"),
        ("Lot moves", ["L-1", "out", "A1", DAY, "some", None, None, None, None], "E2", "no quantity of filler"),
    ],
)
def test_what_is_wrong_is_told_with_its_cell(
    tmp_path: Path, sheet: str, row: list[object], place: str, says: str
) -> None:
    heads = {"Piece events": PIECES, "Spool steps": STEPS, "Lot moves": MOVES}
    outcome = import_sheets(clean_sheets() | {"Components": COMPONENTS, sheet: [heads[sheet], row]}, tmp_path)
    [fault] = outcome.faults
    assert fault.startswith(f"{sheet}!{place}: ") and says in fault
    assert not Job.objects.exists()
