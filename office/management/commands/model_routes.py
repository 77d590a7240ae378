"""Print the routes of a model of piping."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from office.importing.archive import Unreadable
from office.importing.ifc import read_model
from rules.units import SI, US


class Command(BaseCommand):
    """Print each route that an IFC file holds, and what could not be read."""

    help = "Print the routes of a model of piping (an .ifc file), and what in it could not be read."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the file, and the units to write in."""
        parser.add_argument("file", type=Path, help="the .ifc file")
        parser.add_argument("--units", choices=(SI, US), default=SI, help="of the lengths (default: SI)")

    def handle(self, *args: Any, **options: Any) -> None:
        """Read the model and print it."""
        path: Path = options["file"]
        try:
            found = read_model(path, options["units"])
        except FileNotFoundError as fault:
            raise CommandError(f"There is no file {path}.", returncode=1) from fault
        except Unreadable as fault:
            raise CommandError(f"{path.name} {fault}.", returncode=1) from fault
        for number, one in enumerate(found.routes, start=1):
            many = "1 joint" if one.joints == 1 else f"{one.joints} joints"
            self.stdout.write(f"; route {number}, {one.line or 'of no system'}, {many}, from {one.begins}")
            self.stdout.write(one.text)
            for told in one.faults:
                self.stderr.write(f"route {number}, line {told.line}: {told.message}")
        for unread in found.unread:
            self.stderr.write(f"not read: {unread.part}: {unread.why}")
        for taken in found.taken:
            self.stderr.write(f"taken as connected: {taken}")
        for notice in found.notices:
            self.stderr.write(f"noticed: {notice}")
