"""The words that columns hold, with the short forms of the trade."""

import re
from collections.abc import Mapping

from inspection.actions.record_examinations import METHODS
from inspection.actions.set_hold_points import STEPS
from records.models.examination import PICKED_FOR as FOR_WHAT
from records.models.examination import PICKED_HOW as HOW
from records.models.examination import RESULTS
from records.models.job import (
    CERTIFICATES_EDITIONS,
    CERTIFICATES_ROUNDINGS,
    FIRST_BATCHES,
    RECORDING,
    UNITS,
    WELDERS_EDITIONS,
)
from records.models.joint import KINDS, LOCATIONS
from records.models.line import FLUID_SERVICES
from records.models.point import ATTENDANCES, POINT_KINDS
from records.models.procedure import PASS_ROLES, PROCESSES
from records.models.shop import CHECK_RESULTS as RESULTS_OF_A_CHECK
from records.models.shop import EVENTS, MOVES
from records.models.shop import STEPS as STEPS_OF_A_SPOOL
from records.models.specification import MODES as LIMIT_MODES
from records.models.welding import DECISIONS
from rules.codes import CODES
from rules.cut_length import FLANGE_EDITIONS
from rules.specification import GROOVE, LIMITS, SEVERE_CYCLIC

Words = Mapping[str, str]


def plain(text: str) -> str:
    """Return a word without what people write differently: case, spaces, hyphens, full stops."""
    return re.sub(r"[\s\-_.]+", "", text.casefold())


def _words(listed: tuple[str, ...], /, **short: str) -> dict[str, str]:
    """The words listed, by their plain form; `short` maps one (_ for - and space) to its short forms."""
    found = {plain(word): word for word in listed}
    by_name = {word.replace("-", "_").replace(" ", "_"): word for word in listed}
    for name, forms in short.items():
        for form in forms.split():
            found.setdefault(plain(form), by_name[name])
    return found


YES, NO = "yes", "no"
YES_NO = _words((YES, NO), yes="y true x 1", no="n false 0")
UNIT_SYSTEMS = _words(UNITS, US="uscustomary imperial inch", SI="metric mm")
RECORDINGS = _words(RECORDING)
CERTIFICATES_EDITION = _words(CERTIFICATES_EDITIONS, newer="current newest", older="old")
CERTIFICATES_ROUNDING = _words(CERTIFICATES_ROUNDINGS, reported="asreported")
FIRST_BATCH = _words(FIRST_BATCHES, each="twoforeach", all="twoinall")
FLANGES_EDITION = _words(FLANGE_EDITIONS)
WELDERS_EDITION = _words(WELDERS_EDITIONS, current="newer newest")
SERVICES = _words(FLUID_SERVICES, Normal="N", Category_D="D CatD", Category_M="M CatM", High_pressure="K HP CategoryK")
JOINT_KINDS = _words(
    KINDS, socket="SW socketweld", butt="BW buttweld", branch="BR stub-in stub-on", olet="OL weldolet sockolet LET",
    pad="RP reinforcingpad", slip_on="SO slipon", seal="SL sealweld", attachment="AT ATT",
)  # fmt: skip
KINDS_OR_ALL = {**JOINT_KINDS, "all": "all"}
KINDS_OF_POINTS = {**JOINT_KINDS, "all": ""}
KINDS_LIMITED = {**JOINT_KINDS, "all": "", **_words((GROOVE,))}
SERVICES_LIMITED = {**SERVICES, "all": "", **_words((SEVERE_CYCLIC,))}
OWNER_LIMITS = _words(tuple(LIMITS))
MODES = _words(LIMIT_MODES)
PLACES = _words(LOCATIONS, shop="S SH", field="F FW", field_fit="FF FFW")
POSITIONS = _words(
    ("flat", "horizontal", "vertical", "overhead"), flat="F", horizontal="H", vertical="V", overhead="O OH"
)
PROCESS_NAMES = _words(PROCESSES, GTAW="TIG", SMAW="stick MMA", GMAW="MIG MAG")
ROLES = _words(PASS_ROLES, root="R", hot="H", fill="F filler", cap="C cover final")
METHOD_NAMES = _words(METHODS, VT="visual", RT="radiography", PT="penetrant LP LPT", MT="MPI magnetic", leak_test="LT")
EXAM_RESULTS = _words(RESULTS, accepted="A ACC accept OK pass", rejected="R REJ reject fail", re_shoot="RS")
PICKED_FOR = _words(FOR_WHAT, sample="share", extra="progressive tracer")
PICKED_HOW = _words(HOW, random="draw drawn", by_hand="hand chosen")
POINTS = _words(POINT_KINDS, hold="H", witness="W")
STEPS_OF_POINTS = _words(STEPS, VT="visual finalvisual finalVT", leak_test="LT", fit_up="fitup")
ATTENDED = _words(ATTENDANCES, notified="told", attended="witnessed signed", waived="waiver")
REPAIR_DECISIONS = _words(DECISIONS, repair="R", cut_out="C CO")
COUPONS = _words(("pipe", "plate"))
WELDS = _words(("groove", "fillet"), groove="butt")
OPERATIONS = _words(("manual", "semiautomatic", "machine"), semiautomatic="semi", machine="automatic")
STATUSES = _words(("active", "suspended", "revoked"))
ANALYSES = _words(("heat", "product"), heat="ladle", product="check")
PIECE_EVENTS = _words(EVENTS, on_hold="hold", off_hold="holdlifted lifted", returned="backtostock", scrapped="scrap")
SPOOL_STEPS = _words(STEPS_OF_A_SPOOL, dimensional_check="check DC", coated="painted", cleaned="blasted")
CHECK_RESULTS = _words(RESULTS_OF_A_CHECK, accepted="A ACC accept OK pass", rejected="R REJ reject fail")
LOT_MOVES = _words(MOVES, issued="out issue", returned="in return back")
FINDING_CODES = _words(CODES)
PROGRESSIONS = _words(("up", "down"), up="uphill U vertical-up", down="downhill D vertical-down")
