"""Who welds: welders by their stamps, and what each is qualified for."""

from records.api.fields import day, key, number, one_of, person, text, whole, words_of
from records.api.record_fields import JOB
from records.api.resource import Resource
from records.models import ContinuityEntry, Qualification, Stamp

WELDERS = Resource(
    "welders",
    "Welder",
    "A welder's stamp, for one employer and period; a person may have several.",
    Stamp,
    {
        **JOB,
        "stamp": text("code"),
        "name": text("welder__name"),
        "welder_id": key("welder_id", about="The same for all stamps of one person"),
        "employer": text("employer"),
        "from": day("valid_from"),
        "to": day("valid_to"),
        "person": person("welder__user"),
    },
)
QUALIFICATIONS = Resource(
    "qualifications",
    "Qualification",
    "One performance qualification as it was tested.",
    Qualification,
    {
        **JOB,
        "stamp": text("stamp__code"),
        "wpq": text("wpq"),
        "process": text("process"),
        "test_date": day("tested_on", nullable=False),
        "p_number": text("p_number"),
        "f_number": text("f_number"),
        "positions": words_of("positions"),
        "coupon": one_of("coupon", ("pipe", "plate")),
        "coupon_diameter_mm": number("coupon_diameter_mm"),
        "deposit_thickness_mm": number("deposit_mm"),
        "weld": one_of("weld", ("groove", "fillet")),
        "layers": whole("layers", nullable=True),
        "backing": text("backing"),
        "transfer": text("transfer"),
        "progression": text("progression"),
        "operation": text("operation"),
        "qualifying_employer": text("qualifying_employer"),
        "status": one_of("status", ("active", "suspended", "revoked")),
        "status_date": day("status_on"),
    },
)
CONTINUITY = Resource(
    "continuity",
    "ContinuityEntry",
    "A day on which a stamp used a process elsewhere or before, with its evidence; passes recorded here count too.",
    ContinuityEntry,
    {
        **JOB,
        "stamp": text("stamp__code"),
        "process": text("process"),
        "date": day("used_on", nullable=False),
        "evidence": text("evidence"),
    },
)
PEOPLE = (WELDERS, QUALIFICATIONS, CONTINUITY)
