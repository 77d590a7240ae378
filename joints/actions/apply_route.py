"""Apply a route to its sheet: the joints, pieces and spools that it makes, and the end of those it no longer has."""

from decimal import Decimal
from uuid import UUID

from joints.actions.save_plan import save_plan
from joints.actions.withdraw_records import withdraw_records
from joints.queries.planned_materials import planned_material
from joints.queries.routes import WITHDRAWN, Proposal, propose, route_of
from records.batch import together
from records.models import Joint, Piece, Route, Sheet, Spool, User, Withdrawal
from records.models.base import new_id
from records.models.route import LONGEST_ROUTE
from records.permissions import require
from records.refusals import Fault, Implausible, RecordClash
from records.retrying import retried
from records.sorting import natural_key
from rules.pipe import pipe
from rules.route.numbering import Numbered
from rules.route.shape import PAD, Component, PipePiece

_KEPT_LENGTH = Decimal("0.000001")


@retried
def apply_route(sheet: Sheet, text: str, *, base: str, revision: str, reason: str, by: User) -> Proposal:
    """Write a sheet's route and what follows from it; a route that stands so already changes nothing.

    base      what the sheet had when the change was shown (`Proposal.base`)
    revision  of the drawing from now on
    reason    why, where there are joints already
    Raises    NotAllowed, Implausible (a route with faults, joints to withdraw without a reason), RecordClash (the sheet
              changed meanwhile)
    """
    job = sheet.job
    require(by, job, "plan")
    if len(text) > LONGEST_ROUTE:
        told = f"The route has {len(text)} characters; accepted are at most {LONGEST_ROUTE}."
        raise Implausible.of(Fault("text", told))
    with together(job):
        # Two at once on a sheet: the second waits here, and then finds another base.
        sheet = Sheet.objects.select_for_update(of=("self",)).select_related("line", "job").get(pk=sheet.pk)
        route = route_of(sheet)
        proposal = propose(sheet, text, route=route)
        _refuse(proposal, base, reason)
        _Writing(sheet, proposal, by, reason).write(route, revision)
    return proposal


def _refuse(proposal: Proposal, base: str, reason: str) -> None:
    if proposal.shape.faults:
        raise Implausible(
            "The route has faults; nothing was written.",
            [Fault("text", str(fault)) for fault in proposal.shape.faults],
        )
    if proposal.base != base:
        raise RecordClash("The sheet changed since this was shown; look at what the route does to it now.")
    if not reason.strip() and any(one.fate not in ("new", "kept") or one.changes for one in proposal.changes):
        raise Implausible(
            "Joints change or go: say why.", [Fault("reason", "Write why the joints change.", "a few words")]
        )


class _Writing:
    """Writes one proposal through the actions of the plan."""

    def __init__(self, sheet: Sheet, proposal: Proposal, by: User, reason: str) -> None:
        assert proposal.renumbering is not None
        self.sheet, self.proposal, self.by, self.reason = sheet, proposal, by, reason
        self.found = proposal.renumbering
        self.units = sheet.job.units
        self.spools: dict[str, UUID] = {}
        self.pieces: dict[str, Piece] = {}

    def write(self, route: Route | None, revision: str) -> None:
        """Write sheet, route, spools, pieces and joints, then withdraw what is gone."""
        if revision.strip() != self.sheet.revision:
            self.sheet.revision = revision.strip()
            self._save([self.sheet])
        numbers = list(self.found.numbers())
        row = Route(id=route.pk if route else new_id(), sheet=self.sheet, text=self.proposal.text, numbers=numbers)
        self._save([row])
        self._write_spools()
        self._write_pieces()
        self._write_joints()
        gone = [one.joint_id for one in self.proposal.changes if one.fate == WITHDRAWN and one.joint_id]
        if gone:
            drafts = [
                Withdrawal(id=new_id(), joint_id=key, kind="joint", record=key, reason=self.reason) for key in gone
            ]
            withdraw_records(drafts, job=self.sheet.job, by=self.by)

    def _save(self, rows: list[Sheet] | list[Route] | list[Spool] | list[Piece] | list[Joint]) -> None:
        save_plan(rows, job=self.sheet.job, by=self.by, reason=self.reason)

    def _write_spools(self) -> None:
        line = self.sheet.line
        self.spools = dict(Spool.objects.filter(line=line).values_list("mark", "id"))
        wanted = [self.found.spools[one.mark] for one in self.proposal.shape.spools]
        rows = [
            Spool(id=new_id(), line=line, mark=mark, sort_key=natural_key(line.number, mark))
            for mark in wanted
            if mark not in self.spools
        ]
        self._save(rows)
        self.spools |= {row.mark: row.pk for row in rows}

    def _write_pieces(self) -> None:
        self.pieces = {row.mark: row for row in Piece.objects.filter(sheet=self.sheet)}
        rows = []
        made: list[PipePiece | Component] = [*self.proposal.shape.pipes, *self.proposal.shape.components]
        for one in made:
            mark = self.found.pieces[one.mark]
            row = self.pieces.get(mark) or self._new_piece(mark, one)
            self.pieces[mark] = row
            if isinstance(one, PipePiece):
                # Tape and table: a length is kept to the micrometre.
                row.length_mm = one.cut_mm.quantize(_KEPT_LENGTH)
                row.nps, row.schedule = one.nps, one.schedule
            rows.append(row)
        self._save(rows)

    def _new_piece(self, mark: str, one: PipePiece | Component) -> Piece:
        row = Piece(id=new_id(), sheet=self.sheet, mark=mark, kind="pipe", nps=one.nps, schedule=one.schedule)
        row.sort_key = natural_key(self.sheet.drawing, self.sheet.number, mark)
        if isinstance(one, Component):
            row.kind, row.second_nps, row.pressure_class = one.kind, one.second_nps, one.pressure_class
            row.length_mm = one.length_mm.quantize(_KEPT_LENGTH) if one.length_mm and one.kind != PAD else None
        return row

    def _write_joints(self) -> None:
        numbers = {one.number for one in self.found.joints if one.before is not None}
        stored = {row.number: row for row in Joint.objects.filter(sheet=self.sheet, number__in=numbers)}
        rows = []
        for one in self.found.joints:
            row = stored.get(one.number) or self._new_joint(one)
            place = one.place
            row.location = place.location
            row.spool_id, row.spool_b_id = self.spools.get(place.spool), self.spools.get(place.spool_b)
            row.piece_a, row.piece_b = self.pieces.get(place.piece_a), self.pieces.get(place.piece_b)
            rows.append(row)
        self._save(rows)

    def _material(self, mark: str) -> str:
        """The line's material is that of its pipe; what goes with it is known of fittings and flanges."""
        piece, of_pipe = self.pieces.get(mark), self.sheet.line.material
        if piece is None:
            return of_pipe
        return planned_material(piece.kind, of_pipe, has_class=bool(piece.pressure_class))

    def _new_joint(self, one: Numbered) -> Joint:
        sheet, place = self.sheet, one.place
        size = pipe(place.nps, place.schedule)
        return Joint(
            id=new_id(),
            sheet=sheet,
            line=sheet.line,
            number=one.number,
            sort_key=natural_key(sheet.drawing, sheet.number, one.number),
            kind=place.kind,
            nps=place.nps,
            schedule=place.schedule,
            od_mm=size.od(self.units),
            wall_mm=size.wall(self.units),
            material_a=self._material(place.piece_a),
            material_b=self._material(place.piece_b),
            socket_class=place.socket_class,
        )
