"""The shop of the demonstration: what happened to a few pieces and spools, and the filler that went out."""

from datetime import date, datetime, timedelta

from demo.drawings import SHEETS, Sheet
from demo.problems import HELD_PIECE, UNISSUED, UNMARKED_PIECE
from demo.welding import Log
from demo.workdays import moment
from demo.works import FITTERS, FOREMAN, VISUAL, Row

# A length of pipe as it came to the store, by its sheet: its mark, and the pieces that were cut from it.
LENGTHS = {("OB-GL-201", "1"): ("P1", ("2", "4", "6")), ("OB-DR-601", "1"): ("P1", ("7",))}
STORE, YARD = "Store, rack 4", "Yard, row B"
_RECEIVED = timedelta(days=12)


def length_of(sheet: Sheet) -> tuple[str, tuple[str, ...]]:
    """The length of pipe that a sheet's pieces were cut from, with their marks; nothing for most sheets."""
    return LENGTHS.get((sheet.plan.drawing, sheet.plan.number), ("", ()))


def tell_pieces(log: Log) -> None:
    """Write the life of two lengths of pipe, of the pieces that were issued with them, and of those with a story."""
    for sheet in SHEETS:
        mark, parts = length_of(sheet)
        if mark:
            _cut_up(sheet, mark, parts, log)
    log.add(
        "Piece events",
        _event("OB-HO-302", "2", HELD_PIECE, "received", date(2026, 10, 20), FOREMAN, place=STORE),
        _event("OB-HO-302", "2", HELD_PIECE, "issued", date(2026, 11, 2), FOREMAN, place="Bay 2"),
        _event("OB-HO-302", "2", HELD_PIECE, "on hold", date(2026, 11, 18), VISUAL, place="Bay 2")
        | {"remark": "Maker recalls part of the heat, answer awaited"},
        _event("OB-BR-103", "1", "6X", "issued", date(2026, 10, 14), FOREMAN, place="Bay 1"),
        _event("OB-BR-103", "1", "6X", "scrapped", date(2026, 10, 21), VISUAL, place="Scrap bin")
        | {"remark": "Cut out with joint 5, crack at the toe"},
    )


def _cut_up(sheet: Sheet, mark: str, parts: tuple[str, ...], log: Log) -> None:
    drawing, number, start = sheet.plan.drawing, sheet.plan.number, sheet.plan.start
    about = (drawing, number, mark)
    log.add("Piece events", _event(*about, "received", start - _RECEIVED, FOREMAN, place=STORE))
    log.add("Piece events", _event(*about, "issued", start - timedelta(days=3), FOREMAN, place="Saw"))
    cut = start - timedelta(days=3)
    for part in (*parts, f"{mark}X"):
        lost = (drawing, part) == UNMARKED_PIECE
        row = _event(*about, "cut", cut, FITTERS[0], place="Saw")
        row |= {"part": part, "mark transferred": "no" if lost else "yes", "mark by": None if lost else FITTERS[0]}
        log.add("Piece events", row | {"length": "5' 2\"" if part.endswith("X") else None})
    back = _event(drawing, number, f"{mark}X", "returned", cut, FOREMAN, place=STORE)
    log.add("Piece events", back | {"length": "5' 2\""})


def _event(drawing: str, sheet: str, piece: str, event: str, day: date, by: str, *, place: str) -> Row:
    row: Row = {"drawing": drawing, "sheet": sheet, "piece": piece, "event": event, "date": day, "by": by}
    return row | {"place": place}


_STEPS: tuple[tuple[str, str, str, date, str, str, str], ...] = (
    ("HO-301", "HO-301-1A", "dimensional check", date(2026, 8, 27), VISUAL, "accepted", "Bay 3"),
    ("HO-301", "HO-301-1A", "cleaned", date(2026, 8, 28), FITTERS[1], "", "Blast yard"),
    ("HO-301", "HO-301-1A", "coated", date(2026, 8, 31), FITTERS[1], "", "Paint shop"),
    ("HO-301", "HO-301-1A", "released", date(2026, 9, 2), VISUAL, "", YARD),
    ("HO-301", "HO-301-1A", "shipped", date(2026, 9, 3), FOREMAN, "", "Truck 2"),
    ("HO-301", "HO-301-1A", "received", date(2026, 9, 4), FOREMAN, "", "Site laydown 1"),
    ("HO-301", "HO-301-1A", "erected", date(2026, 9, 10), FOREMAN, "", "Rack level 2"),
    ("HO-302", "HO-302-1A", "dimensional check", date(2026, 9, 1), VISUAL, "accepted", "Bay 3"),
    ("HO-302", "HO-302-1A", "released", date(2026, 9, 4), VISUAL, "", YARD),
    ("HO-302", "HO-302-1A", "shipped", date(2026, 9, 8), FOREMAN, "", "Truck 2"),
    ("GL-201", "GL-201-1A", "dimensional check", date(2026, 9, 10), VISUAL, "rejected", "Bay 1"),
    ("GL-201", "GL-201-1A", "dimensional check", date(2026, 9, 14), VISUAL, "accepted", "Bay 1"),
    ("HO-303", "HO-303-1A", "dimensional check", date(2026, 9, 18), VISUAL, "accepted", "Bay 2"),
    ("PW-401", "PW-401-1A", "shipped", date(2026, 9, 24), FOREMAN, "", "Truck 1"),
)


def tell_spools(log: Log) -> None:
    """Write the steps of the first spools; one was shipped without its check and release."""
    for line, spool, step, day, by, result, place in _STEPS:
        row: Row = {"line": line, "spool": spool, "step": step, "date": day, "by": by}
        log.add("Spool steps", row | {"result": result or None, "place": place})
    log.rows["Spool steps"][10]["remark"] = "Branch 3/8 in off its centre line"


def tell_filler(log: Log) -> None:
    """Write an issue of each lot to each welder before its first pass, and what came back of the older ones."""
    first: dict[tuple[str, str], date] = {}
    for row in log.rows["Passes"]:
        _use(first, str(row["stamp"]), str(row["filler lot"]), row["date"])
    for row in log.rows["Weld log"]:
        for column in ("root stamp", "cap stamp"):
            _use(first, str(row[column]), str(row["filler lot"]), row["date"])
    for (stamp, lot), day in sorted(first.items(), key=lambda one: (one[1], one[0])):
        if (stamp, lot) in UNISSUED:
            continue
        row = {"lot": lot, "move": "issued", "stamp": stamp, "date": moment(day, -45), "quantity": "5 lb"}
        oven = "Oven 1" if lot.startswith("L-70") else None
        log.add("Lot moves", row | {"oven": oven, "by": FOREMAN, "place": "Store"})
        if day < date(2026, 10, 1):
            back: Row = {"move": "returned", "date": moment(day, 540), "quantity": "1.5 lb"}
            log.add("Lot moves", row | back | {"oven": oven, "by": FOREMAN, "place": "Store"})


def _use(first: dict[tuple[str, str], date], stamp: str, lot: str, value: object) -> None:
    day = value.date() if isinstance(value, datetime) else value
    assert isinstance(day, date)
    first[stamp, lot] = min(day, first.get((stamp, lot), day))
