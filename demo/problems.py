"""What is wrong on purpose: each problem, the joint it stands on, and the finding code it must give."""

from dataclasses import dataclass

from demo.works import EXPIRED

GAP, CROOKED = "OB-HO-303/1/3", "OB-DR-601/1/3"
LAPSED, TOO_SMALL_PIPE = "OB-GL-203/1/2", "OB-PW-401/1/2"
NO_FIT_UP, OLD_REVISION, OTHER_HEAT = "OB-DR-601/1/5", "OB-BR-101/1/4", "OB-BR-102/1/2"
PAPERLESS, FILELESS, CARBON_HIGH = "OB-GL-201/1/1", "OB-GL-202/1/1", "OB-HO-302/1/1"
HOT_PASS, STACKED, SHORT_LEG = "OB-GL-201/2/2", "OB-HO-303/1/5", "OB-HO-303/1/7"
OVERRIDDEN, EXPIRED_EXAMINER, EARLY_LOOK = "OB-GL-201/1/4", "OB-HO-303/2/1", "OB-BR-101/1/2"
REPAIRED, CUT_OUT, UNDERCUT, SLAG = "OB-HO-301/1/3", "OB-BR-103/1/5", "OB-BR-102/1/5", "OB-GL-202/1/5"
CORRECTED_GAP, CORRECTED_LOT = "OB-GL-201/1/6", "OB-GL-201/1/5"
HELD, HELD_TOO, UNMARKED, UNMARKED_TOO = "OB-HO-302/2/1", "OB-HO-302/2/2", "OB-DR-601/1/6", "OB-DR-601/1/7"
EXTRA_DUE, SHORT, UNATTENDED = ("OB-GL-202/1/2", "OB-GL-202/1/4"), "OB-HO-302/1/3", "OB-GL-203/1/5"
SHORT_LOT = "HO-302"  # a line of whose welders some have no radiograph yet
HELD_PIECE, UNMARKED_PIECE = "2", ("OB-DR-601", "7")
# Stamps and lots that nobody wrote down as issued; the second was only a slip of the pen, see CORRECTED_LOT.
UNISSUED = (("D18", "L-7111"), ("D15", "L-7061"))
LOGGED = ("OB-DR-601/1/1", "OB-DR-601/1/2")  # written in the one-row weld log


@dataclass(frozen=True)
class Problem:
    """One thing to find; `code` is empty where the records are in order and only the story is worth a look."""

    joint: str
    code: str
    story: str


PROBLEMS = (
    Problem(
        LAPSED,
        "qualification-lapsed",
        "D23 last used GTAW on 2026-02-12; six months later, on 2026-08-12, it lapsed, and he welded in September.",
    ),
    Problem(
        TOO_SMALL_PIPE,
        "welder-not-qualified",
        "D07 qualified on NPS 6 pipe (from 2-7/8 in up) and welded this NPS 2 butt; the foreman's override says why.",
    ),
    Problem(GAP, "gap-out-of-range", "Socket gap 3/16 in, at most 1/8 in by W-11."),
    Problem(CROOKED, "squareness-out-of-range", "1/8 in out of square, at most 1/16 in by W-11."),
    Problem(PAPERLESS, "certificate-missing", "The flange's heat M71341 names no certificate."),
    Problem(
        FILELESS,
        "",
        "The flange's heat M71355 names certificate MC-M71355, but no such file came with the job: the package "
        "lists it as missing.",
    ),
    Problem(CARBON_HIGH, "chemistry-out-of-range", "The flange's heat M71372 has 0.382 % carbon, A105 allows 0.35 %."),
    Problem(REPAIRED, "", "Radiograph rejected for lack of fusion; repair R1 welded, radiographed again and accepted."),
    Problem(UNDERCUT, "examination-rejected", "Rejected by eye for undercut 1/16 in; nobody has decided what to do."),
    Problem(UNDERCUT, "undercut-too-deep", "The same 1/16 in, at most 1/32 in by the acceptance table: both agree."),
    Problem(SLAG, "examination-rejected", "Radiograph rejected for slag; nobody has decided what to do."),
    Problem(
        SLAG,
        "extra-examination-due",
        "For that reject one more butt weld of D11 on line GL-202 is to be radiographed; joint 4 can serve.",
    ),
    *(Problem(joint, "extra-examination-due", "The same lot waits for the same radiograph.") for joint in EXTRA_DUE),
    Problem(
        SHORT,
        "sample-short",
        "One butt weld of line HO-302 is radiographed, none of D11 and D15; each weld of the lot says so.",
    ),
    Problem(UNATTENDED, "hold-point-open", "Released past hold point 4.2 without the owner's inspector."),
    Problem(
        OVERRIDDEN,
        "too-few-passes",
        "Three passes where W-12 asks four; the engineer's override stands, and the joint is released.",
    ),
    Problem(HOT_PASS, "pass-out-of-range", "Root at 158 A, at most 140 A by W-12."),
    Problem(STACKED, "stops-stacked", "The root started and stopped at 12, the cap at 12:30: 15 degrees, at least 30."),
    Problem(EXPIRED_EXAMINER, "examiner-not-certified", "Looked at by an examiner whose VT ran out on 2026-10-15."),
    Problem(OLD_REVISION, "superseded-revision", "Fitted from revision 1 of the sheet, which stands at 2."),
    Problem(OTHER_HEAT, "heat-mismatch", "The heat read off the elbow at fit-up is not the one on the weld list."),
    Problem(NO_FIT_UP, "fit-up-missing", "Welded with no fit-up recorded."),
    Problem(
        SHORT_LEG,
        "leg-too-small",
        "Leg 3/16 in measured and accepted by the examiner; 1.09 x 0.179 in asks 0.195 in, so 7/32 in on a gauge.",
    ),
    Problem(EARLY_LOOK, "record-order", "The visual examination is dated a day before the weld."),
    Problem(
        HELD, "piece-on-hold", "The elbow, piece 2, was put on hold after it was welded in: its maker recalls the heat."
    ),
    Problem(HELD_TOO, "piece-on-hold", "The other end of the same elbow."),
    Problem(
        UNMARKED, "mark-not-transferred", "Pipe piece 7 was cut from its length without its heat number stamped on."
    ),
    Problem(UNMARKED_TOO, "mark-not-transferred", "The other end of the same pipe."),
    Problem(CUT_OUT, "", "A crack in the penetrant examination; cut out with its coupling, being welded again as W1."),
    Problem(CORRECTED_GAP, "", "Root opening written as 3/8 in, corrected to 1/8 in: both stand, one counts."),
    Problem(CORRECTED_LOT, "", "Filler lot written wrongly on the third pass, corrected."),
)

FIT_UP_CHANGES: dict[str, dict[str, object]] = {
    GAP: {"gap": "3/16", "gap 12": None, "gap 3": None, "gap 6": None, "gap 9": None},
    CROOKED: {"squareness": "1/8"},
    LAPSED: {"tack stamp": "D04"},
    TOO_SMALL_PIPE: {"tack stamp": "D11"},
    OLD_REVISION: {"revision": "1"},
    OTHER_HEAT: {"heat B read": "X60255"},
    CORRECTED_GAP: {"gap": "3/8"},
}
STAMPS_CHANGED = {LAPSED: ("D23", "D23"), TOO_SMALL_PIPE: ("D07", "D07"), REPAIRED: ("D11", "D11")}
ROLES_CHANGED = {OVERRIDDEN: ["root", "fill", "cap"]}
PASS_CHANGES: dict[tuple[str, str], dict[str, object]] = {
    (HOT_PASS, "root"): {"amps": 158},
    (STACKED, "root"): {"start": "12", "stop": "12"},
    (STACKED, "cap"): {"start": "12:30", "stop": "12:30"},
    (CORRECTED_LOT, "fill"): {"filler lot": "L-7061"},
}
EXAMINATION_CHANGES: dict[tuple[str, str], dict[str, object]] = {
    (EXPIRED_EXAMINER, "VT"): {"by": EXPIRED},
    (SHORT_LEG, "VT"): {"leg A": "3/16", "leg B": "7/32"},
    (UNDERCUT, "VT"): {"result": "rejected", "undercut": "1/16", "indications": "Undercut 1/16 in at 6, 1 in long"},
    (SLAG, "RT"): {"result": "rejected", "indications": "Slag at 4:30, 1-1/4 in long"},
}
