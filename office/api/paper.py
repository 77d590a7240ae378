"""Jobs, the packages that were built, and the journal."""

from records.api.fields import key, moment, one_of, person, text, whole
from records.api.record_fields import JOB
from records.api.resource import Resource
from records.models import Job, JournalEntry, Package
from records.models.job import RECORDING, UNITS

JOBS = Resource(
    "jobs",
    "Job",
    "One contract's piping scope; everything belongs to exactly one job.",
    Job,
    {
        "id": key("id"),
        "code": text("code"),
        "name": text("name"),
        "client": text("client"),
        "site": text("site"),
        "units": one_of("units", UNITS),
        "code_of_construction": text("construction_code"),
        "edition": text("edition"),
        "time_zone": text("time_zone"),
        "recording": one_of("recording", RECORDING),
    },
    of_job="id",
)
PACKAGES = Resource(
    "packages",
    "Package",
    "A turnover package as it was built: its sums, and the journal's head that it was built at.",
    Package,
    {
        **JOB,
        "scope": text("scope"),
        "sha256": text("sha256"),
        "manifest_sha256": text("manifest_sha256"),
        "pages": whole("pages"),
        "missing": whole("missing"),
        "head_number": whole("head_number"),
        "head_hash": text("head_hash"),
        "recorded_by": person("recorded_by"),
        "recorded_at": moment("recorded_at"),
    },
)
JOURNAL = Resource(
    "journal",
    "JournalEntry",
    "One link of a job's chain; `payload` is the text whose hash the chain holds.",
    JournalEntry,
    {
        "job": text("job__code"),
        "number": whole("number"),
        "kind": text("kind"),
        "subject": text("subject"),
        "payload": text("payload"),
        "form": whole("form"),
        "algorithm": text("algorithm"),
        "previous": text("previous"),
        "hash": text("hash"),
        "written_at": moment("written_at"),
        "written_by": person("written_by"),
        "reason": text("reason"),
    },
    keys=("job_id", "number"),
)


PAPER = (JOBS, PACKAGES, JOURNAL)
