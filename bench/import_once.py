"""Import one workbook in a process of its own: `python -m bench.import_once FILE CODE [--no-findings]`."""

import sys
from pathlib import Path

from bench import site


def main(file: str, code: str, *more: str) -> int:
    """Import it into a new job; 1 where a cell was refused."""
    site.set_up()
    # Django must stand before anything that knows a model is imported.
    from office.importing.workbook import import_workbook  # noqa: PLC0415

    outcome = import_workbook(Path(file), code, by=None, may_create=True, judge="--no-findings" not in more)
    print(*outcome.faults[:10], sep="\n", file=sys.stderr)
    return int(bool(outcome.faults))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
