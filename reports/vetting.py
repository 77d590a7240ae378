"""Look into a PDF that somebody sent, in a process of its own: it may be made to fill memory or to take for ever.

Run as `python -m reports.vetting`, with the file on standard input; answers with its faults as a JSON list.
"""

import json
import os
import resource
import subprocess
import sys
import zipfile
from io import BytesIO
from pathlib import Path
from typing import Final

from pikepdf.settings import set_qpdf_limits

from reports.certificates import TOO_MUCH, check_pdf

MOST_MEMORY: Final = 256 * 1024 * 1024
MOST_SECONDS: Final = 20
ROOT: Final = Path(__file__).resolve().parents[1]
# What may stand behind the mark of a PDF's end: line ends, and what a scanner fills its last block with.
_BLANK: Final = b"\r\n\t \x00\x1a"
_END: Final = b"%%EOF"
# Objects packed tighter than this into one stream, no paper has.
MOST_UNPACKED: Final = 64 * 1024 * 1024


def vetted(content: bytes) -> list[str]:
    """Why bytes can't be taken as a PDF, in sentences; an empty list if they can.

    Takes at most MOST_MEMORY and MOST_SECONDS besides the bytes themselves, whatever they are.
    """
    command = [sys.executable, "-m", "reports.vetting"]
    environment = {"PYTHONPATH": str(ROOT), "PATH": os.defpath, "PYTHONDONTWRITEBYTECODE": "1"}
    try:
        ran = subprocess.run(
            command,
            input=content,
            capture_output=True,
            cwd=ROOT,
            env=environment,
            timeout=2 * MOST_SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return [TOO_MUCH]
    return [str(fault) for fault in json.loads(ran.stdout)] if ran.returncode == 0 else [TOO_MUCH]


def faults_of(content: bytes) -> list[str]:
    """The faults of a PDF as it lies open, those of a file that is two things at once among them."""
    if not content.startswith(b"%PDF-"):
        if b"%PDF-" in content[:1024]:
            return ["Something else stands before its beginning; print it to a new PDF."]
        return ["It is not a PDF."]
    if zipfile.is_zipfile(BytesIO(content)):
        return ["It is an archive as well as a PDF; print it to a new PDF."]
    is_whole = _END in content
    if is_whole and content[content.rfind(_END) + len(_END) :].strip(_BLANK):
        return ["Something else stands behind its end; print it to a new PDF."]
    faults = check_pdf(content)
    if not faults and not is_whole:
        return [
            "Its end is missing, as of a file that was cut off on its way; send it again, or print it to a new PDF."
        ]
    return faults


def confine(seconds: int) -> None:
    """Let this process take MOST_MEMORY and so many seconds, and no more."""
    for limit, most in ((resource.RLIMIT_AS, MOST_MEMORY), (resource.RLIMIT_CPU, seconds)):
        resource.setrlimit(limit, (most, most))
    set_qpdf_limits(flate_max_memory=MOST_UNPACKED, run_length_max_memory=MOST_UNPACKED)


def _main() -> None:
    confine(MOST_SECONDS)
    json.dump(faults_of(sys.stdin.buffer.read()), sys.stdout)


if __name__ == "__main__":
    _main()
