"""Import one workbook in a process of its own: FILE CODE, then any of --no-findings, --check, --tell=FILE."""

import json
import sys
from pathlib import Path

from bench import site


def main(file: str, code: str, *more: str) -> int:
    """Import it into a new job, or only check it; 1 where a cell was refused. What would change is told in a file."""
    site.set_up()
    # Django must stand before anything that knows a model is imported.
    from office.importing.workbook import import_workbook  # noqa: PLC0415

    asked = {"only_check": "--check" in more, "judge": "--no-findings" not in more}
    outcome = import_workbook(Path(file), code, by=None, may_create=True, **asked)
    print(*outcome.faults[:10], sep="\n", file=sys.stderr)
    for target in (one.removeprefix("--tell=") for one in more if one.startswith("--tell=")):
        counts = {
            name: {"new": count.new, "changed": count.changed, "unchanged": count.unchanged}
            for name, count in outcome.counts.items()
        }
        told = {"changed": outcome.changed, "sheets": counts, "refused": outcome.refused}
        Path(target).write_text(json.dumps(told), encoding="utf-8")
    return int(bool(outcome.faults))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
