"""Say on which machine, and how busy it was, since figures mean nothing without it."""

import os
import platform
from pathlib import Path
from typing import Any


def machine() -> dict[str, Any]:
    """The processor, cores, memory, system, Python, and the load before the measures began."""
    return {
        "processor": _processor(),
        "cores": os.cpu_count(),
        "memory_gb": round(os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 1e9, 1),
        "system": platform.platform(terse=True),
        "python": platform.python_version(),
        "load": round(os.getloadavg()[0], 2),
    }


def _processor() -> str:
    try:
        lines = Path("/proc/cpuinfo").read_text().splitlines()
    except OSError:
        return platform.processor()
    return next((line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")), platform.machine())
