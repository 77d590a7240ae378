"""The invented drawings: each sheet written as a chain of pieces, and the pieces, spools and joints that follow."""

from dataclasses import dataclass, field
from datetime import date

from demo.metal import HIGH_CARBON, NO_CERTIFICATE, NO_FILE, heat_for
from demo.procedures import PROCEDURE_OF
from demo.works import CARBON, JOINING_OF_LINE, SIZE_OF_LINE, STEEL_OF_LINE

NOT_ISSUED = "."  # a planned joint whose pieces are still in the store

# A chain: P pipe, E elbow 90, D elbow 45, T tee, C coupling, K cap, S slip-on flange;
# "-" shop joint, "/" field joint, "~" field-fit.
# Offshoots leave a pipe of the chain: (pipe, kind, NPS, schedule, chain).
_KINDS = {"P": "pipe", "E": "elbow-90", "D": "elbow-45", "T": "tee", "C": "coupling", "K": "cap", "O": "olet"}
_LOCATIONS = {"-": "shop", "/": "field", "~": "field-fit"}

Offshoot = tuple[int, str, str, str, str]


@dataclass(frozen=True)
class SheetPlan:
    """One drawing sheet: its chain, how far each joint has come, and the day fabrication began.

    states  one letter a joint: . planned, a planned and assigned, f fitted, i in progress, w welded, x rejected,
            A accepted, R released, 1 accepted after a repair, W cut out and being welded again
    """

    line: str
    number: str
    revision: str
    chain: str
    states: str
    start: date
    offshoots: tuple[Offshoot, ...] = ()

    @property
    def drawing(self) -> str:
        return f"OB-{self.line}"


@dataclass
class Piece:
    """One pipe length, fitting, flange or pad of a sheet."""

    mark: str
    kind: str
    nps: str
    schedule: str
    material: str
    heat: str
    pressure_class: str = ""
    second_nps: str = ""
    length: str = ""


@dataclass
class Joint:
    """One weld of a sheet, between two of its pieces."""

    plan: SheetPlan
    number: str
    kind: str
    location: str
    nps: str
    schedule: str
    a: Piece
    b: Piece
    spool: str
    spool_b: str
    socket_class: str
    procedure: str
    position: str
    state: str = ""

    @property
    def key(self) -> str:
        return f"{self.plan.drawing}/{self.plan.number}/{self.number}"

    @property
    def steel(self) -> str:
        return STEEL_OF_LINE[self.plan.line]


@dataclass
class Sheet:
    """A sheet with everything that stands on it."""

    plan: SheetPlan
    pieces: list[Piece] = field(default_factory=list)
    joints: list[Joint] = field(default_factory=list)
    spools: list[str] = field(default_factory=list)


PLANS = (
    SheetPlan("HO-301", "1", "3", "S-P-E-P-E-P", "RR1RR", date(2026, 8, 3)),
    SheetPlan("HO-302", "1", "2", "S-P-E-P-T-P", "ARRRRRRA", date(2026, 8, 10), ((4, "branch", "3", "40", "P-E"),)),
    SheetPlan("BR-101", "1", "2", "S-P-E-P-T-P", "RRRRRRRA", date(2026, 8, 17), ((2, "olet", "3/4", "80S", "O-P-K"),)),
    SheetPlan("GL-201", "1", "2", "S-P-E-P-T-P-E-P", "ARRRRRA", date(2026, 8, 24)),
    SheetPlan("HO-303", "1", "1", "P-E-P-T-P-C-P-K", "RRRRRRA", date(2026, 8, 31)),
    SheetPlan("PW-401", "1", "1", "S-P-E-P-T-P", "RARRA", date(2026, 9, 2)),
    SheetPlan("GL-203", "1", "1", "P-E-P-T-P-E-P", "RARARA", date(2026, 9, 8)),
    SheetPlan("DR-601", "1", "1", "P-E-P-T-P-E-P-K", "RRRRAww", date(2026, 9, 14)),
    SheetPlan("GL-202", "1", "1", "S-P-E-P-E-P", "RRRRxAR", date(2026, 9, 21), ((2, "olet", "1", "80", "O-P"),)),
    SheetPlan("BR-102", "1", "1", "S-P-E-P-T-P-E-P", "RRRAxww", date(2026, 9, 28)),
    SheetPlan("BR-101", "2", "1", "P-E-P/P-E-P-S", "RRAAww", date(2026, 10, 5)),
    SheetPlan("HO-301", "2", "2", "P-E-P/P-T-P-E-P", "RRAAwww", date(2026, 10, 8)),
    SheetPlan("BR-103", "1", "1", "P-E-P-T-P-C-P", "AAwwWa", date(2026, 10, 14)),
    SheetPlan("HO-303", "2", "0", "P-E-P/C-P-E-P-K", "AAwwwff", date(2026, 10, 21)),
    SheetPlan("GL-201", "2", "1", "P-E-P/P-E-P-S", "AAAwww", date(2026, 10, 26)),
    SheetPlan("HO-302", "2", "1", "P-E-P/P-E-P", "wwwif", date(2026, 11, 2)),
    SheetPlan("GL-203", "2", "0", "P-E-P/C-P-K", "wwiia", date(2026, 11, 5)),
    SheetPlan("GL-202", "2", "1", "P-T-P~P-E-P-S", "iifaaa", date(2026, 11, 9)),
    SheetPlan("BR-101", "3", "0", "P-D-P~P-E-P", "iffaa", date(2026, 11, 11)),
    SheetPlan("PW-401", "2", "0", "P-E-P/P-E-P", "fiaaa", date(2026, 11, 12)),
    SheetPlan("NI-501", "1", "0", "P-E-P-T-P-E-P", "ffaaaa", date(2026, 11, 13)),
    SheetPlan("BR-103", "2", "0", "P-E-P/C-P-K", "ifaaa", date(2026, 11, 16)),
    SheetPlan("GL-201", "3", "0", "P-D-P-D-P", "ffaa", date(2026, 11, 17)),
    SheetPlan("HO-301", "3", "1", "P-E-P~P-S", "aaaa", date(2026, 11, 18)),
    SheetPlan("HO-302", "3", "0", "P-E-P-S", "...", date(2026, 11, 20)),
    SheetPlan("BR-102", "2", "0", "P-E-P/P-S", "....", date(2026, 11, 20)),
    SheetPlan("NI-501", "2", "0", "P-E-P~C-P-K", ".....", date(2026, 11, 20)),
    SheetPlan("DR-601", "2", "0", "P-E-P/C-P-K", ".....", date(2026, 11, 20)),
)

# Pieces that came from a heat with something wrong (see problems.py).
_ODD_PIECES = {
    ("OB-GL-201", "1", "1"): NO_CERTIFICATE,
    ("OB-GL-202", "1", "1"): NO_FILE,
    ("OB-HO-302", "1", "1"): HIGH_CARBON,
}

_LENGTHS = ("1' 4-1/4\"", '11-5/8"', "2' 3-1/2\"", "412 mm", '7-3/16"', "4' 0-1/2\"", "3' 8\"", "655 mm")


def _is_small(nps: str) -> bool:
    return nps in ("1/2", "3/4", "1", "1-1/2")


class _Draughtsman:
    """Turns one plan into pieces and joints, numbering both as they come."""

    def __init__(self, plan: SheetPlan, turn: int) -> None:
        self.plan, self.turn = plan, turn
        self.steel = STEEL_OF_LINE[plan.line]
        self.sheet = Sheet(plan)
        self._new_spool()

    def _new_spool(self) -> None:
        self.sheet.spools.append(f"{self.plan.line}-{self.plan.number}{'ABC'[len(self.sheet.spools)]}")

    def piece(self, letter: str, nps: str, schedule: str, *, joining: str, run: str = "") -> Piece:
        plan, carbon = self.plan, self.steel == CARBON
        mark = str(len(self.sheet.pieces) + 1)
        kind = _KINDS.get(letter) or {"S": "flange-150", "R": "pad"}[letter]
        item, rating = "fitting", ""
        if kind == "pipe":
            item, material = "pipe", "A106 Gr. B" if carbon else "A312 TP316L"
        elif kind == "pad":
            item, material = "plate", "A516 Gr. 70"
        elif kind == "flange-150" or joining == "socket" or kind == "olet":
            item = "flange" if kind == "flange-150" else "fitting"
            rating = "150" if kind == "flange-150" else "3000"
            material = "A105" if carbon else "A182 F316L"
        else:
            material = "A234 WPB" if carbon else "A403 WP316L"
        size = run if kind == "pad" else nps
        heat = _ODD_PIECES.get((plan.drawing, plan.number, mark)) or heat_for(material, item, size, self.turn)
        piece = Piece(mark, kind, size, schedule, material, heat, rating)
        piece.second_nps = nps if kind == "pad" else run if kind == "olet" else nps if kind == "tee" else ""
        piece.length = _LENGTHS[(self.turn + len(self.sheet.pieces)) % len(_LENGTHS)] if kind == "pipe" else ""
        self.sheet.pieces.append(piece)
        return piece

    def joint(self, kind: str, where: str, nps: str, schedule: str, a: Piece, b: Piece) -> None:
        spool = self.sheet.spools[-1]
        if where != "-":
            self._new_spool()
        number = len(self.sheet.joints) + 1
        location = _LOCATIONS[where]
        position = "horizontal" if kind in ("slip-on", "pad") or number % 3 else "flat"
        if location != "shop":
            position = "5F" if kind == "socket" else "5G"
        self.sheet.joints.append(
            Joint(
                plan=self.plan,
                number=str(number),
                kind=kind,
                location=location,
                nps=nps,
                schedule=schedule,
                a=a,
                b=b,
                spool=spool,
                spool_b=self.sheet.spools[-1] if where != "-" else "",
                socket_class="3000" if kind == "socket" else "",
                procedure=PROCEDURE_OF[self.steel, kind],
                position=position,
            )
        )

    def chain(self, text: str, nps: str, schedule: str, *, joining: str, first: Piece | None = None) -> list[Piece]:
        pieces = [first or self.piece(text[0], nps, schedule, joining=joining)]
        for where, letter in zip(text[1::2], text[2::2], strict=True):
            piece = self.piece(letter, nps, schedule, joining=joining)
            kinds = {pieces[-1].kind, piece.kind}
            kind = "slip-on" if "flange-150" in kinds else joining
            self.joint(kind, where, nps, schedule, pieces[-1], piece)
            pieces.append(piece)
        return pieces

    def offshoot(self, host: Piece, kind: str, nps: str, schedule: str, chain: str) -> None:
        joining = "socket" if _is_small(nps) else "butt"
        first = self.piece(chain[0], nps, schedule, joining=joining, run=host.nps if kind == "olet" else "")
        self.joint(kind, "-", nps, schedule, host, first)
        if kind == "branch":
            pad = self.piece("R", nps, host.schedule, joining=joining, run=host.nps)
            self.joint("pad", "-", nps, schedule, host, pad)
        self.chain(chain, nps, schedule, joining=joining, first=first)


def draw(plan: SheetPlan, turn: int) -> Sheet:
    """The pieces, spools and joints of one plan; `turn` alternates heats and lengths between sheets."""
    draughtsman = _Draughtsman(plan, turn)
    nps, schedule = SIZE_OF_LINE[plan.line]
    pieces = draughtsman.chain(plan.chain, nps, schedule, joining=JOINING_OF_LINE[plan.line])
    for host, kind, size, wall, chain in plan.offshoots:
        draughtsman.offshoot(pieces[host - 1], kind, size, wall, chain)
    sheet = draughtsman.sheet
    for joint, state in zip(sheet.joints, plan.states, strict=True):
        joint.state = state
    return sheet


SHEETS = [draw(plan, turn) for turn, plan in enumerate(PLANS)]
JOINTS = {joint.key: joint for sheet in SHEETS for joint in sheet.joints}
