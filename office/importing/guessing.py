"""Guess what a person's own sheets and headings mean: by the trade's other words for them, then by likeness.

What one shop calls a heading is common practice, no source; a guess is shown and only holds once somebody confirms it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from office.importing.columns import SheetForm, header
from office.importing.forms import BY_NAME, FORMS, slip_of
from office.importing.heading_units import is_unit, without_last_word
from office.importing.own_names import OwnNames, OwnPart, headed, keys

_LIKE = 0.8
_ENOUGH = 0.6
_SHOWN = 3
_FEWEST_GROUPS = 2
_WELDERS, _TESTS = "Welders", "Qualifications"

# By a heading without case and spacing, the column that somebody said it is.
Said = Mapping[str, str]

# Other words for a column, in any sheet that has it; written without case and spacing.
_COLUMNS = {
    "line": "lineno linenumber lineid linenr pipeline pipelineno",
    "drawing": "iso isono isonumber isometric isometricno dwg dwgno drawingno drawingnumber drg drgno isodrawing",
    "sheet": "sht shtno sheetno sheetnumber page",
    "joint": "weld weldno weldnumber weldid jointno jointnumber jointid jt jtno jnt wn fwno",
    "attempt": "repairno weldattempt",
    "kind": "type jointtype weldtype typeofjoint typeofweld itemtype component",
    "location": "shopfield sf shoporfield fieldshop place",
    "NPS": "size dia diameter nominalsize pipesize inch nb dn nominaldiameter",
    "second NPS": "size2 reducingsize",
    "schedule": "sch schno thickness wall wallthickness wt",
    "class": "rating pressureclass",
    "revision": "rev revno issue",
    "fluid service": "fluidcategory category servicecategory",
    "service": "fluid medium commodity",
    "design pressure": "pressure designpress",
    "design temperature": "temp designtemp temperature",
    "piping class": "spec pipespec pipingspec pipeclass",
    "material": "matl mat grade spec materialgrade materialspec",
    "material A": "material1 matl1 mata",
    "material B": "material2 matl2 matb",
    "heat": "heatno heatnumber ht htno cast castno",
    "heat A": "heat1 heatno1 heatnumber1 heatnoa heatnumbera hta",
    "heat B": "heat2 heatno2 heatnumber2 heatnob heatnumberb htb",
    "heat A read": "heat1 heatno1 heatnumber1 heatnoa heatnumbera hta heata",
    "heat B read": "heat2 heatno2 heatnumber2 heatnob heatnumberb htb heatb",
    "piece": "piecemark pieceno item itemno mark part",
    "piece A": "piece1 item1 part1",
    "piece B": "piece2 item2 part2",
    "spool": "spoolno spoolnumber spoolid spoolmark",
    "procedure": "wps wpsno wpsnumber",
    "stamp": "welder welderno welderid welderstamp stampno weldersymbol weldercode id",
    "name": "fullname weldername examinername welder",
    "employer": "company contractor subcontractor",
    "from": "validfrom datefrom startdate",
    "root stamp": "rootwelder root welder1 welderroot weldera welder welderid welderno welderstamp stamp stampno",
    "hot stamp": "hotwelder hotpass hot",
    "fill stamp": "fillwelder fill welderfill",
    "cap stamp": "capwelder cap welder2 weldercap welderb",
    "date": "welddate dateofwelding dateweld dateofweld weldeddate datewelded fitupdate dateoffitup examdate"
    " testdate on",
    "pass": "passtype run weldpass layer",
    "order": "passno passnumber runno seq sequence",
    "process": "weldingprocess weldprocess",
    "filler lot": "lot lotno batch batchno wirebatch electrodelot electrodebatch fillerbatch consumablelot rodlot"
    " filler fillermetal consumable consumables",
    "lot": "lotno lotnumber batch batchno",
    "classification": "aws awsclass type electrode",
    "diameter": "size dia",
    "amps": "current amperage a",
    "volts": "voltage v",
    "travel": "travelspeed speed",
    "preheat": "preheattemp preheattemperature",
    "interpass": "interpasstemp interpasstemperature",
    "joint kinds": "jointtypes jointtype weldtypes",
    "thickness min": "tmin mint thkmin minthickness",
    "thickness max": "tmax maxt thkmax maxthickness",
    "preheat min": "minpreheat preheat",
    "interpass max": "maxinterpass interpass",
    "gap": "rootgap socketgap fitupgap rootopening opening",
    "high-low": "hilo misalignment mismatch",
    "squareness": "square alignment",
    "by": "inspector examiner doneby checkedby signedby fitter inspectedby examinedby recordedby",
    "method": "nde ndt ndemethod ndtmethod test examination examtype",
    "result": "verdict accrej acceptreject status outcome",
    "report": "reportno reportnumber ndereport rtreport",
    "remark": "remarks comment comments note notes",
    "WPQ": "wpqno wpqr certificate certificateno qualificationno",
    "test date": "dateoftest datequalified qualifieddate",
    "P-Number": "pno pnr pnumber",
    "F-Number": "fno fnr fnumber",
    "position": "testposition weldposition qualifiedposition",
    "deposit thickness": "thickness depositthk thk thicknessqualified",
    "coupon diameter": "diameter od couponod pipediameter",
    "manufacturer": "mill maker producer",
    "certificate": "mtr mtc mtrno certno certificateno millcert",
    "tensile": "uts tensilestrength rm",
    "yield": "ys yieldstrength re rp02",
    "elongation": "elong a",
    "decision": "action repairtype",
    "valid until": "expiry expires expirydate validto",
    "level": "lvl certlevel",
    "alias": "oldno oldnumber formerno",
}
_SHEETS = {
    "Lines": "linelist linetable lineindex linedesignationtable ldt",
    "Sheets": "isolist drawinglist drawings isometrics isoindex drawingindex isos dwgs",
    "Routes": "routing routings pipingroutes",
    "Components": "bom billofmaterials billofmaterial materiallist pieces piecelist",
    "Joints": "weldlist weldregister jointlist jointregister welds weldmap weldmatrix weldschedule weldindex",
    "Procedures": "wps wpslist wpsregister wpss procedurelist",
    "Welders": "welderlist welderregister stamplist stamps weldersregister",
    "Qualifications": "wpq wpqs wpqlist wpqr welderqualifications performancequalifications welderquals wqt",
    "Continuity": "continuitylog weldercontinuity continuityrecord",
    "Heats": "heatlist heatnumbers mtrs mtr mtrlog materialcertificates heatlog heatregister millcerts",
    "Filler lots": "consumables electrodes fillers fillerregister consumableslist batches",
    "Examiners": "ndepersonnel ndtpersonnel inspectors",
    "Fit-ups": "fitup fituplog fitupreport fitupregister",
    "Weld log": "weldinglog dailyweldlog weldhistory welding dailywelding weldingrecord weldtracker",
    "Examinations": "nde ndt ndelog ndtlog inspectionlog examinationlog rt vt rtlog vtlog ndereports inspections",
    "Repairs": "repairlog repairlist repair",
}  # fmt: skip
# Days of another sheet's records, which a running log may have beside its own.
_OF_OTHERS = {
    "Weld log": frozenset({"fitupdate", "dateoffitup", "examdate", "testdate"}),
    "Passes": frozenset({"fitupdate", "dateoffitup", "examdate", "testdate"}),
}
_FORM_OF = {word: name for name, said in _SHEETS.items() for word in said.split()}
_MEANT = {name: frozenset(said.split()) for name, said in _COLUMNS.items()}


@dataclass(frozen=True, slots=True)
class Heading:
    """One heading of a sheet: as it stands, the column it is taken for, and the first that stands under it.

    key      the heading as it is remembered
    group    what stands in the row above, over it or over one before it; of two headings alike it tells them apart
    is_said  somebody said so before, or it is the column's own name; otherwise it is a guess
    """

    place: int
    key: str
    written: str
    group: str
    column: str
    is_said: bool
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Guess:
    """What a sheet is taken for, with its headings, and what its rows are besides.

    is_also_said   somebody said what they are besides, if only that it is nothing
    """

    sheet: str
    form: str
    row: int
    is_said: bool
    headings: tuple[Heading, ...]
    also: tuple[OwnPart, ...] = ()
    is_also_said: bool = False

    @property
    def is_sure(self) -> bool:
        """Say whether nothing of it is a guess."""
        is_guessed = self.also and not self.is_also_said
        return not self.form or (self.is_said and not is_guessed and all(one.is_said for one in self.headings))

    @property
    def lacking(self) -> tuple[str, ...]:
        """Return the columns that the sheet needs and has not."""
        form = BY_NAME.get(header(self.form))
        found = {one.column for one in self.headings}
        return tuple(one.name for one in form.columns if one.needed and one.name not in found) if form else ()


def guess(sheet: str, rows: Sequence[Sequence[str]], names: OwnNames, form: str | None = None, row: int = 0) -> Guess:
    """Guess a sheet of its first rows.

    names      what somebody said before
    form, row  what is taken for given; None and 0 where that is to be guessed too
    """
    own = names.of(sheet)
    is_said = form is not None or own is not None or header(sheet) in BY_NAME
    if form is None:
        known = BY_NAME.get(header(sheet))
        form = own.form if own else known.name if known else _form(sheet, rows, names)
        if not own and form == _WELDERS and _share(BY_NAME[header(_TESTS)], rows, {}) >= 1:
            # A row a test: the welders follow from it.
            form, is_said = _TESTS, False
    meant = BY_NAME.get(header(form))
    said = dict(own.columns) if own and own.form == form else _said_for(names, form)
    first = _first(rows)
    row = row or (headed(rows, own) if own and own.form == form else 0)
    row = row or (_head_row(meant, rows, said) if meant else first)
    heads = rows[row - 1] if 0 < row <= len(rows) else []
    is_said = is_said and (own is not None or row == first)
    above = groups(rows[row - 2], heads) if row > 1 else [""] * len(heads)
    return Guess(sheet, form, row, is_said, _headings(meant, heads, above, rows[row:], said))


def groups(above: Sequence[str], heads: Sequence[str]) -> list[str]:
    """Return what each heading stands under in the row above: one joined cell there stands over several headings.

    A row with a single cell is a title, and no group of anything.
    """
    if sum(map(bool, above)) < _FEWEST_GROUPS:
        return [""] * len(heads)
    found, last = [], ""
    for place, _ in enumerate(heads):
        last = (above[place] if place < len(above) else "") or last
        found.append(last)
    return found


def _form(sheet: str, rows: Sequence[Sequence[str]], names: OwnNames) -> str:
    if name := _FORM_OF.get(header(sheet)):
        return name
    shares = {form.name: _share(form, rows, _said_for(names, form.name)) for form in FORMS}
    slip = slip_of(sheet)
    if slip and shares[slip] >= _ENOUGH:
        return slip
    likely = max(shares, key=shares.__getitem__)
    return likely if shares[likely] >= _ENOUGH else slip if _is_like(header(sheet), [slip]) else ""


def _share(form: SheetForm, rows: Sequence[Sequence[str]], said: Said) -> float:
    """How much of a sheet's needed columns its best row has; the columns that may be there decide between equals."""
    row = _head_row(form, rows, said)
    found = set(columns_of(form, rows[row - 1], said).values()) if row else set()
    needed = [one.name for one in form.columns if one.needed]
    if not needed or not set(form.identity) <= found:
        return 0.0
    return len(found.intersection(needed)) / len(needed) + len(found) / 1_000


def _first(rows: Sequence[Sequence[str]]) -> int:
    """The row, from 1, that first says something."""
    return next((number for number, cells in enumerate(rows, start=1) if any(cells)), 0)


def _head_row(form: SheetForm, rows: Sequence[Sequence[str]], said: Said) -> int:
    """The row, from 1, whose cells are most like headings; the first that says something where none is."""
    most, best = 0, _first(rows)
    for number, cells in enumerate(rows, start=1):
        found = len(columns_of(form, cells, said))
        if found > most:
            most, best = found, number
    return best


def _headings(
    form: SheetForm | None, heads: Sequence[str], above: Sequence[str], below: Sequence[Sequence[str]], said: Said
) -> tuple[Heading, ...]:
    guessed = columns_of(form, heads, said) if form else {}
    found = []
    for place, (head, key, group) in enumerate(zip(heads, keys(heads), above, strict=True)):
        if not head:
            continue
        column = guessed.get(place, "")
        is_said = key in said or not column or header(column) == header(head)
        under = tuple(row[place] for row in below if place < len(row) and row[place])[:_SHOWN]
        found.append(Heading(place, key, head, group, column, is_said, under))
    return tuple(found)


def columns_of(form: SheetForm, heads: Sequence[str], said: Said) -> dict[int, str]:
    """Return the column of each place that one is known or guessed for, none twice.

    What was said comes first, then its own name, then the trade's other words, without a unit at their end too,
    then likeness.
    """
    plain = {place: header(head) for place, head in enumerate(heads) if head}
    free = [one.name for one in form.columns]
    known = keys(heads)
    found: dict[int, str] = {}
    for place in plain:
        if (column := said.get(known[place], "")) in free:
            found[place] = column
            free.remove(column)
    others = _OF_OTHERS.get(form.name, frozenset())

    def has_unit(head: str, free: Sequence[str]) -> str:
        return _is_meant_of_a_unit(form, written[head], free)

    written = {head: heads[place] for place, head in plain.items()}
    for is_it in (_is_called, _is_meant, has_unit, _is_like):
        for place, head in plain.items():
            if place not in found and known[place] not in said and head not in others and (column := is_it(head, free)):
                found[place] = column
                free.remove(column)
    return found


def _is_called(head: str, free: Sequence[str]) -> str:
    return next((name for name in free if header(name) == head), "")


def _is_meant(head: str, free: Sequence[str]) -> str:
    return next((name for name in free if head in _MEANT.get(name, ())), "")


def _is_meant_of_a_unit(form: SheetForm, written: str, free: Sequence[str]) -> str:
    """Return the column that a heading means without its last word, where that is a unit of it."""
    plain, word = without_last_word(written)
    meant = _is_called(header(plain), free) or _is_meant(header(plain), free) if word else ""
    return meant if meant and is_unit(form.by_name[meant], word) else ""


def _is_like(head: str, free: Sequence[str]) -> str:
    names = {header(name): name for name in free}
    close = get_close_matches(head, names, n=1, cutoff=_LIKE) if len(head) > 2 else []
    return names[close[0]] if close else ""


def _said_for(names: OwnNames, form: str) -> Said:
    """What was said of other sheets that are the same one here: a list of yesterday has another file's name."""
    return {
        head: column
        for one in names.sheets.values()
        if form and one.form == form
        for head, column in one.columns.items()
    }
