"""An import of fifty thousand joints with their history is previewed in a minute, within its memory, and written as shown."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.soak
def test_a_large_import_is_previewed_in_time_and_written_as_shown() -> None:
    foreign = ("PYTEST_VERSION", "DATABASE_URL", "DEBUG", "PRODUCTION", "ALLOWED_HOSTS", "SECRET_KEY")
    kept = {name: value for name, value in os.environ.items() if name not in foreign}
    ran = subprocess.run(
        [sys.executable, "-m", "bench", "previewing"], cwd=ROOT, env=kept, capture_output=True, text=True, check=False
    )
    assert ran.returncode == 0, ran.stdout + ran.stderr
