"""The trade calculators on the command line."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from office.queries.calculators import with_today
from rules.calculators.asked import ComputeError
from rules.calculators.results import result_of
from rules.compute import CALCULATORS, compute
from rules.source import Source
from rules.units import SI, US

EPILOG = "Lengths are mm unless the value says otherwise (3/8 in, 2' 3-1/2\", 40 mm); --units US takes bare inches."


class Command(BaseCommand):
    """Answer with the result, its steps and its source; exit 1 with a sentence where there is no answer."""

    help = f"Compute one of: {', '.join(CALCULATORS)}."

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        """Say in the help how lengths are read."""
        return super().create_parser(prog_name, subcommand, epilog=EPILOG, **kwargs)

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the calculator's name, its values and the form of the answer."""
        parser.add_argument("name", metavar="NAME", help="the calculator")
        parser.add_argument("values", nargs="*", metavar="key=value", help="what it is to compute with")
        parser.add_argument("--format", choices=("text", "json"), default="text")
        parser.add_argument("--units", choices=(US, SI), default=SI, help="the units of bare numbers")

    def handle(self, *args: Any, **options: Any) -> None:
        """Compute and print."""
        try:
            answer = compute(options["name"], self._values(options), units=options["units"])
        except ComputeError as fault:
            raise CommandError(str(fault), returncode=1) from fault
        self.stdout.write(json.dumps(answer, ensure_ascii=False) if options["format"] == "json" else as_text(answer))

    def _values(self, options: dict[str, Any]) -> dict[str, str]:
        values: dict[str, str] = {}
        for word in options["values"]:
            key, separator, value = word.partition("=")
            if not separator or not key:
                raise CommandError(f"{word!r} is not key=value.", returncode=2)
            if key in values:
                raise CommandError(f"{key} is given twice.", returncode=2)
            values[key] = value
        return with_today(options["name"], values, timezone.localdate())


def as_text(answer: dict[str, Any]) -> str:
    """Write an answer as lines: result, steps, source, notes."""
    result = [
        f"{key} = {result_of(answer['name'], key).none if value is None else shown(value)}"
        for key, value in answer["result"].items()
    ]
    source = f"Source: {Source(**answer['source'])}"
    return "\n".join([*result, *(f"  {step}" for step in answer["steps"]), source, *answer["notes"]])


def shown(value: Any) -> str:
    """Write one value of a result."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return json.dumps(value, ensure_ascii=False) if isinstance(value, list | dict) else str(value)
