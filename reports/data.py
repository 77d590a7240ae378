"""What papers and drawings are made of: plain, frozen values, already in the job's units and wording.

Whoever builds these decides on units, dates and language; `reports` only lays them out. Dates and times come in as
text. `rows` may be a generator: a paper reads it once, from front to back.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reports.isometric.drawn import Isometric  # it is built of what stands here
    from reports.list_paper import ListPaper


@dataclass(frozen=True, slots=True)
class Ring:
    """The mark of a joint: its state (`reports.ring.STATES`), part of the passes made, and number of later attempts."""

    state: str
    progress: float = 0.0
    attempt_count: int = 0


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """The data fields of ISO 7200, as far as a weld record has them; page numbers come from the book."""

    owner: str  # legal owner of the document: the contractor or, if none is set, the job's client
    job: str  # code and name
    title: str
    kind: str  # document type: weld map, weld log, ...
    number: str  # identification or drawing number
    issued: str  # date of issue
    creator: str
    edition: str  # code and edition that the verdicts used: "ASME B31.3, 2018"
    supplement: str = ""  # supplementary title: line, spool, service
    sheet: str = ""  # of the drawing: "1 of 2"
    revision: str = ""
    approver: str = ""
    status: str = ""  # "for review", "as built"


# weld map


@dataclass(frozen=True, slots=True)
class MapPiece:
    """One pipe length, fitting, flange or valve on a line; `again` marks one already drawn on another run."""

    mark: str
    kind: str = ""
    size: str = ""
    heat: str = ""
    again: bool = False


@dataclass(frozen=True, slots=True)
class MapJoint:
    """One joint of a weld map and its joint table; `spool` and `spool_b` differ at a field joint."""

    number: str
    ring: Ring
    kind: str
    size: str
    location: str = "shop"  # shop, field, field-fit
    spool: str = ""
    spool_b: str = ""
    heat_a: str = ""
    heat_b: str = ""
    procedure: str = ""
    stamps: str = ""  # root / fill / cap, as the job writes them
    attempt: str = "0"


@dataclass(frozen=True, slots=True)
class MapRun:
    """Pieces and joints in sequence: `joints[i]` stands between `pieces[i]` and `pieces[i + 1]`."""

    pieces: tuple[MapPiece, ...]
    joints: tuple[MapJoint, ...]
    name: str = ""

    def __post_init__(self) -> None:
        """Refuse a run whose ends are not pieces: a joint always has two sides, even if one has no mark."""
        if len(self.pieces) != len(self.joints) + 1:
            raise ValueError(f"{len(self.joints)} joints need {len(self.joints) + 1} pieces, not {len(self.pieces)}.")


@dataclass(frozen=True, slots=True)
class WeldMapData:
    """The weld map of a line or a drawing sheet."""

    title: TitleBlock
    runs: tuple[MapRun, ...]
    paper: str = "A4"


# lists


@dataclass(frozen=True, slots=True)
class WeldLogRow:
    """One attempt of one joint."""

    ring: Ring
    joint: str  # as the job writes it: drawing/sheet/number
    attempt: str
    kind: str
    size: str
    location: str
    spool: str
    heats: str
    procedure: str
    stamps: str
    filler: str
    date: str
    examinations: str
    state: str


@dataclass(frozen=True, slots=True)
class WeldLogData:
    """The weld log of a job, line or spool."""

    title: TitleBlock
    rows: Iterable[WeldLogRow]
    paper: str = "A4"


@dataclass(frozen=True, slots=True)
class FindingRow:
    """One finding with its arithmetic; `source` names standard, edition and clause, `source_state` how sure it is."""

    code: str
    severity: str  # stop, correct, note
    joint: str
    attempt: str
    message: str
    measured: str = ""
    limit: str = ""
    arithmetic: str = ""
    source: str = ""
    source_state: str = ""  # checked, memory, conflict, or who confirmed it
    record: str = ""
    override: str = ""  # who went on despite it, when and why


@dataclass(frozen=True, slots=True)
class FindingsData:
    """The open and overridden findings."""

    title: TitleBlock
    rows: Iterable[FindingRow]
    paper: str = "A4"


@dataclass(frozen=True, slots=True)
class ExaminationRow:
    """One examination: the inspector's result is the one that counts, `computed` stands beside it."""

    joint: str
    attempt: str
    method: str
    date: str
    examiner: str
    result: str
    report: str = ""
    measured: str = ""
    computed: str = ""
    acceptance: str = ""  # table or clause with its edition
    remark: str = ""


@dataclass(frozen=True, slots=True)
class ExaminationsData:
    """Results of examinations, usually one paper per method."""

    title: TitleBlock
    rows: Iterable[ExaminationRow]
    paper: str = "A4"


@dataclass(frozen=True, slots=True)
class QualificationRow:
    """One performance qualification with the range it gives."""

    number: str
    process: str
    tested: str
    materials: str  # P- and F-Numbers
    thickness: str
    diameter: str
    positions: str
    valid: str  # "alive until ...", "lapsed ...", "suspended ..."


@dataclass(frozen=True, slots=True)
class WelderEntry:
    """One stamp, who bore it, and their qualifications."""

    stamp: str
    name: str
    employer: str
    period: str
    joints: str  # how many of this scope they welded on
    qualifications: tuple[QualificationRow, ...] = ()


@dataclass(frozen=True, slots=True)
class WelderRegisterData:
    """Everyone who welded or tacked in this scope."""

    title: TitleBlock
    welders: Iterable[WelderEntry]
    paper: str = "A4"


@dataclass(frozen=True, slots=True)
class HeatRow:
    """A heat of base metal."""

    heat: str
    material: str
    maker: str
    item: str
    certificate: str
    chemistry: str
    strength: str
    joints: str


@dataclass(frozen=True, slots=True)
class FillerRow:
    """A lot of filler metal."""

    lot: str
    classification: str
    diameter: str
    heat: str
    certificate: str
    joints: str


@dataclass(frozen=True, slots=True)
class HeatListData:
    """The heats and filler lots in this scope."""

    title: TitleBlock
    rows: Iterable[HeatRow]
    fillers: Iterable[FillerRow] = ()
    paper: str = "A4"


@dataclass(frozen=True, slots=True)
class MissingItem:
    """One thing still to be done or found before handover."""

    group: str  # examinations due, certificates, releases, ...
    subject: str  # the joint, heat or person
    what: str


@dataclass(frozen=True, slots=True)
class MissingData:
    """What is missing; without items the paper says that nothing is."""

    title: TitleBlock
    items: Iterable[MissingItem]
    paper: str = "A4"


# package


@dataclass(frozen=True, slots=True)
class JournalHead:
    """The end of the job's journal when the package was built; `verify_journal --head` checks it."""

    number: int
    hash: str
    at: str

    def __str__(self) -> str:
        """As the command line takes it."""
        return f"{self.number}:{self.hash}"


@dataclass(frozen=True, slots=True)
class PackageCover:
    """The front page of a turnover package."""

    title: TitleBlock
    scope: str  # "whole job", "line 1-CF-1101", "spool SP-2"
    client: str
    site: str
    journal: JournalHead
    counts: tuple[tuple[str, str], ...] = ()  # ("joints", "150"), ("released", "118"), ...
    editions: tuple[str, ...] = ()  # every standard with its edition that a verdict used
    remarks: tuple[str, ...] = ()
    signatures: tuple[str, ...] = ("Made by", "Checked by", "Accepted for the client")  # lines to sign by hand


@dataclass(frozen=True, slots=True)
class CertificateFile:
    """A certificate as received; `content` is the PDF or the path to it, read when its turn comes."""

    name: str  # file name
    label: str  # "MTR 4471, heat 8812"
    content: bytes | str
    used_by: str = ""


@dataclass(frozen=True, slots=True)
class MarkedSheet:
    """A client's drawing with the joints marked on it; `content` is the path to its PDF, the title that of its map."""

    title: TitleBlock
    content: str
    pages: int


@dataclass(frozen=True, slots=True)
class CertificateSet:
    """Certificates of one kind, merged behind one divider sheet."""

    title: str  # "Material certificates"
    files: tuple[CertificateFile, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class PackageData:
    """Everything of a turnover package, in the order in which it is bound."""

    cover: PackageCover
    missing: MissingData
    # Of a sheet with a route, its isometric; of one with a marked drawing, that and the map with its joint table.
    weld_maps: tuple["WeldMapData | Isometric | MarkedSheet", ...] = ()
    weld_log: WeldLogData | None = None
    logs: "tuple[ListPaper, ...]" = ()
    findings: FindingsData | None = None
    examinations: tuple[ExaminationsData, ...] = ()
    welders: WelderRegisterData | None = None
    heats: HeatListData | None = None
    releases: "tuple[ListPaper, ...]" = ()  # of spools
    certificates: tuple[CertificateSet, ...] = ()


# drawings on the joint card


@dataclass(frozen=True, slots=True)
class DialSegment:
    """Welding by one person from a start to a stop, clockwise, in hours of a clock face; equal means all round."""

    stamp: str
    start: Decimal
    stop: Decimal


@dataclass(frozen=True, slots=True)
class DialPass:
    """One pass on the dial."""

    order: int
    role: str
    segments: tuple[DialSegment, ...]


@dataclass(frozen=True, slots=True)
class Dimension:
    """A length to scale (`value`, any one unit for the whole section) and the words that stand on the drawing."""

    value: Decimal
    words: str
    limits: str = ""  # "1/32 to 1/8"


@dataclass(frozen=True, slots=True)
class SectionData:
    """What the section of a joint draws; lengths share one unit, and what is not known is None and not drawn."""

    kind: str  # socket, butt, branch, olet, slip-on, ...
    pipe_wall: Dimension
    pipe_od: Dimension | None = None
    other_wall: Dimension | None = None  # butt: wall of side B; branch, slip-on: wall of the header, hub thickness
    socket_wall: Dimension | None = None
    socket_depth: Dimension | None = None
    gap: Dimension | None = None  # socket gap or root opening
    mark: Dimension | None = None  # witness mark, from the face of the socket
    leg: Dimension | None = None  # smallest fillet leg
    bevel_degrees: Decimal | None = None  # of each side; typical 37.5 when None
    land: Dimension | None = None  # root face; typical 1.6 mm when None, drawn as a share of the wall
    notes: tuple[str, ...] = field(default=())
