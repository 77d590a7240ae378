"""What is measured on a joint: the column, the workbook's word for it, its unit as kept, and how a card says it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Measure:
    """One measured column of a record; `typed` of the record holds its text as typed under `word`."""

    column: str
    word: str
    unit: str  # "clock" for degrees that are typed as hours
    label: str = ""

    @property
    def field(self) -> str:
        """The name of its field in a form."""
        return self.word.lower().replace(" ", "_").replace("-", "_")


FIT_UP = (
    Measure("gap_mm", "gap", "mm", "gap"),
    Measure("gap_12_mm", "gap 12", "mm", "at 12 o'clock"),
    Measure("gap_3_mm", "gap 3", "mm", "at 3 o'clock"),
    Measure("gap_6_mm", "gap 6", "mm", "at 6 o'clock"),
    Measure("gap_9_mm", "gap 9", "mm", "at 9 o'clock"),
    Measure("squareness_mm", "squareness", "mm", "out of square"),
    Measure("high_low_mm", "high-low", "mm", "high-low"),
)
PASS = (
    Measure("amps", "amps", "A"),
    Measure("volts", "volts", "V"),
    Measure("travel_mm_min", "travel", "mm/min", "travel"),
    Measure("length_mm", "length", "mm", "length"),
    Measure("arc_time_s", "arc time", "s", "arc time"),
    Measure("preheat_c", "preheat", "°C", "preheat"),
    Measure("interpass_c", "interpass", "°C", "interpass"),
)
PLACES = (Measure("start_degrees", "start", "clock"), Measure("stop_degrees", "stop", "clock"))
EXAMINATION = (
    Measure("leg_a_mm", "leg A", "mm", "leg A"),
    Measure("leg_b_mm", "leg B", "mm", "leg B"),
    Measure("undercut_mm", "undercut", "mm", "undercut"),
    Measure("gap_on_film_mm", "gap on film", "mm", "gap on film"),
)
BY_KIND = {"fitup": FIT_UP, "pass": PASS, "examination": EXAMINATION}
