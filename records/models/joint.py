"""The joint: the place where two pieces are welded."""

from django.db import models
from django.db.models import Q

from records.models.base import Master, millimetres, one_of
from records.models.prefix_index import PrefixIndex

KINDS = ("socket", "butt", "branch", "olet", "pad", "slip-on", "seal", "attachment")
LOCATIONS = ("shop", "field", "field-fit")
STATES = ("planned", "fitted", "in progress", "welded", "rejected", "accepted", "released", "withdrawn")


class Joint(Master):
    """One weld between two pieces of a sheet. Its number is never reused, even after a cut-out.

    The columns from `state` on are derived from the records; only `records.refresh` writes them.
    """

    DERIVED = (
        "state", "attempt", "attempts", "next_step", "progress", "due", "stamps", "assigned", "welded_on",
        "accepted_on", "released_on", "last_on", "stops", "corrects", "notes", "waits", "is_stale",
    )  # fmt: skip

    # The indexes `joint_by_number`, `joint_number_once_per_sheet` and `joint_by_line` begin with these.
    job = models.ForeignKey("records.Job", on_delete=models.PROTECT, related_name="+", db_index=False)
    sheet = models.ForeignKey("records.Sheet", on_delete=models.PROTECT, related_name="joints", db_index=False)
    line = models.ForeignKey("records.Line", on_delete=models.PROTECT, related_name="joints", db_index=False)
    number = models.CharField(max_length=16, help_text="As it stands on the weld map, for example 12")
    sort_key = models.CharField(max_length=200, help_text="Drawing, sheet and number, with figures padded to sort")
    kind = models.CharField(max_length=12)
    location = models.CharField(max_length=10)
    nps = models.CharField(max_length=12)
    schedule = models.CharField(max_length=12)
    od_mm = millimetres()
    wall_mm = millimetres()
    # Indexed below where they are filled: every change of a joint's state writes all its index entries anew.
    spool = models.ForeignKey(
        "records.Spool", on_delete=models.PROTECT, null=True, blank=True, related_name="joints", db_index=False
    )
    spool_b = models.ForeignKey(
        "records.Spool", on_delete=models.PROTECT, null=True, blank=True, related_name="+", db_index=False
    )
    piece_a = models.ForeignKey(
        "records.Piece", on_delete=models.PROTECT, null=True, blank=True, related_name="+", db_index=False
    )
    piece_b = models.ForeignKey(
        "records.Piece", on_delete=models.PROTECT, null=True, blank=True, related_name="+", db_index=False
    )
    heat_a = models.ForeignKey("records.Heat", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    heat_b = models.ForeignKey("records.Heat", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    material_a = models.CharField(max_length=80, blank=True, default="")
    material_b = models.CharField(max_length=80, blank=True, default="")
    socket_class = models.CharField(max_length=12, blank=True, default="")
    procedure = models.ForeignKey(
        "records.Procedure", on_delete=models.PROTECT, null=True, blank=True, related_name="joints"
    )
    position = models.CharField(max_length=12, blank=True, default="")
    alias = models.CharField(max_length=80, blank=True, default="")

    state = models.CharField(max_length=12, default="planned")
    attempt = models.CharField(max_length=6, default="0")
    attempts = models.PositiveSmallIntegerField(default=1)
    next_step = models.CharField(max_length=40, default="fit up")
    progress = models.PositiveSmallIntegerField(default=0, help_text="Percent of the passes welded")
    due = models.CharField(max_length=80, blank=True, default="", help_text="Methods still to be examined")
    stamps = models.CharField(max_length=120, blank=True, default="")
    assigned = models.ForeignKey(
        "records.Stamp", on_delete=models.PROTECT, null=True, blank=True, related_name="+", db_index=False
    )
    welded_on = models.DateField(null=True, blank=True)
    accepted_on = models.DateField(null=True, blank=True)
    released_on = models.DateField(null=True, blank=True)
    last_on = models.DateField(null=True, blank=True)
    stops = models.PositiveSmallIntegerField(default=0, help_text="Open findings that stop a release")
    corrects = models.PositiveSmallIntegerField(default=0)
    notes = models.PositiveSmallIntegerField(default=0)
    waits = models.PositiveSmallIntegerField(default=0, help_text="Points that wait for the owner's inspector")
    is_stale = models.BooleanField(default=False, help_text="Findings wait for a refresh in the background")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["sheet", "number"], name="joint_number_once_per_sheet"),
            one_of("kind", KINDS, "joint_kind_known"),
            one_of("location", LOCATIONS, "joint_location_known"),
            one_of("state", STATES, "joint_state_known"),
            models.CheckConstraint(condition=Q(od_mm__gt=0) & Q(wall_mm__gt=0), name="joint_size_positive"),
        ]
        indexes = [
            models.Index(fields=["job", "sort_key"], name="joint_by_number"),
            models.Index(fields=["job", "state", "sort_key"], name="joint_by_state"),
            models.Index(fields=["line", "sort_key"], name="joint_by_line"),
            models.Index(fields=["job", "assigned", "sort_key"], name="joint_by_welder"),
            PrefixIndex(fields=["job", "number", "sort_key"], name="joint_named"),
            PrefixIndex(fields=["job", "alias", "sort_key"], condition=Q(alias__gt=""), name="joint_also_named"),
            models.Index(fields=["job", "sort_key"], condition=Q(due__gt=""), name="joint_by_due"),
            models.Index(fields=["job", "sort_key"], condition=Q(waits__gt=0), name="joint_by_waits"),
            *(
                models.Index(fields=[name], condition=Q(**{f"{name}__isnull": False}), name=f"joint_by_{name}")
                for name in ("spool", "spool_b", "piece_a", "piece_b", "assigned")
            ),
        ]

    def __str__(self) -> str:
        return self.number
