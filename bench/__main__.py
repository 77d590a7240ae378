"""Run the benchmarks: `python -m bench` for all, `python -m bench NAME...` for some of them."""

import argparse
import compileall
import os
import sys
from importlib import import_module

from bench import child, reporting
from bench.database import NoServer, own_database
from bench.machine import machine

# Each module has `measures()`; it is imported when the database stands, since Django reads its address at once.
GROUPS = {
    "rules": "bench.in_memory", "judging": "bench.judging", "importing": "bench.importing",
    "previewing": "bench.previewing", "pages": "bench.pages",
    "every-page": "bench.every_page", "isometrics": "bench.isometrics",
}  # fmt: skip

PACKAGES = ("rules", "reports", "records", "joints", "inspection", "office", "weldtrack", "bench")


def main() -> int:
    """Measure, write bench/results.json and print the table; 1 where a target is missed, 2 where there is no server."""
    parser = argparse.ArgumentParser(prog="python -m bench", description=__doc__)
    parser.add_argument("group", nargs="*", choices=[[], *GROUPS], help="which measures (default: all)")
    asked = parser.parse_args().group or list(GROUPS)
    here = machine()
    # As an installation has it: a command under measurement would else compile the program first.
    for folder in PACKAGES:
        compileall.compile_dir(child.ROOT / folder, quiet=1)
    try:
        with own_database():
            measures = [one for group in asked for one in _group(group)]
    except NoServer as refusal:
        print(refusal, file=sys.stderr)
        return 2
    reporting.write(measures, here)
    print(reporting.table(measures))
    print(f"{here['processor']}, {here['cores']} cores, load {here['load']} before, {os.getloadavg()[0]:.2f} after")
    return int(any(one.met is False for one in measures))


def _group(name: str) -> list[reporting.Measure]:
    site = import_module("bench.site")
    site.start()
    found = []
    for one in import_module(GROUPS[name]).measures():
        print(f"{one.name}: {one.value:,} {one.unit}", file=sys.stderr)
        found.append(one)
    return found


if __name__ == "__main__":
    sys.exit(main())
