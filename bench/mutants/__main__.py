"""Try mutants of the rules: `python -m bench.mutants` for all, `--sample 500 --draw 3` for some drawn by chance."""

import argparse
import sys
import tempfile
from pathlib import Path

import pint  # noqa: F401 - once here, not in each child

from bench.mutants import report
from bench.mutants.choosing import drawn, files, tests_for
from bench.mutants.made import Mutant, compiled, mutants
from bench.mutants.reach import Reach, Watching
from bench.mutants.trial import KILLED, in_child, run_tests, verdict

ROOT = Path(__file__).resolve().parents[2]
LEAST = 0.85


def main() -> int:
    """Try the mutants, write docs/mutation.md; 1 where too few are noticed, 2 where the sound rules fail a test."""
    parser = argparse.ArgumentParser(prog="python -m bench.mutants", description=__doc__)
    parser.add_argument("--sample", type=int, help="how many mutants to try (default: all)")
    parser.add_argument("--draw", type=int, default=1, help="which sample: the same number draws the same mutants")
    parser.add_argument("--only", default="rules/", help="only files whose path begins so; nothing is written then")
    asked = parser.parse_args()
    reach = reached(ROOT)
    if reach is None:
        print("The tests of the rules fail as they are; mend them first.", file=sys.stderr)
        return 2
    every = {path: mutants(ROOT, path) for path in files(ROOT) if path.startswith(asked.only)}
    tried = [(one, tried_one(ROOT, one, reach)) for one in drawn(every, asked.sample, asked.draw)]
    told = report.Told(every, tried, asked.sample, asked.draw)
    print(told.summary())
    if asked.only == "rules/":
        (ROOT / "docs/mutation.md").write_text(told.page())
    return int(told.share() < LEAST)


def reached(root: Path) -> Reach | None:
    """The whole suite once on the sound rules; None where it fails."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "reach.json"

        def watched() -> int:
            watching = Watching(root)
            code = run_tests(plugins=(watching,))
            watching.reach().save(file)
            return code

        return Reach.load(file) if in_child(watched, 3600) == 0 else None


def tried_one(root: Path, one: Mutant, reach: Reach) -> str:
    """What comes of one mutant, said on the way where it is not noticed."""
    seconds = {name: reach.seconds[name] for name in tests_for(root, one, reach)}
    outcome = verdict(root, one.path, compiled(root, one), seconds)
    if outcome != KILLED:
        print(f"{outcome}: {one.told()}", file=sys.stderr, flush=True)
    return outcome


if __name__ == "__main__":
    sys.exit(main())
