#!/usr/bin/env python
"""Run Spoolbook's commands; a bad setting is one sentence on stderr, never a traceback."""

import os
import sys

from django.core.exceptions import ImproperlyConfigured
from django.core.management import execute_from_command_line


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "weldtrack.settings")
    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as refusal:
        sys.stderr.write(f"{refusal}\n")
        sys.exit(2)


if __name__ == "__main__":
    main()
