"""A PDF that somebody attaches: checked by what is in it, kept under the sum of its bytes."""

import hashlib
import unicodedata

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from records.refusals import Fault
from reports.vetting import vetted

MOST_BYTES = 20 * 1024 * 1024
ACCEPTED = "a PDF of at most 20 MB, not encrypted, without scripts or other files in it"
LONGEST_NAME = 200
# Control signs, those that turn the direction of reading, and line ends.
UNSEEN = ("Cc", "Cf", "Co", "Cs", "Cn", "Zl", "Zp")


def plain_name(sent: str, ending: str = ".pdf") -> str:
    """A file's name without folders or signs that can't be seen, ending as what it is: whoever saves it opens that."""
    name = sent.replace("\\", "/").rsplit("/", 1)[-1]
    name = "".join(sign for sign in name if unicodedata.category(sign) not in UNSEEN).strip(" .")
    if not name.lower().endswith(ending):
        name += ending
    return name[-LONGEST_NAME:]


def pdf_faults(content: bytes, what: str) -> list[Fault]:
    """What keeps bytes from being a paper; `what` names it, for example "the certificate"."""
    why = ""
    if not content:
        why = "The file is empty."
    elif len(content) > MOST_BYTES:
        why = "The file has more than 20 MB."
    elif faults := vetted(content):
        why = " ".join(faults)
    return [Fault("file", f"This can't be {what}: {why}", ACCEPTED)] if why else []


def kept(content: bytes, folder: str, ending: str = ".pdf") -> tuple[str, str]:
    """Write bytes under their SHA-256 sum, once, and return name and sum: what a name holds can then never change.

    A file cut short by a process that was killed, or damaged since, is written again.
    """
    sha256 = hashlib.sha256(content).hexdigest()
    name = f"{folder}/{sha256}{ending}"
    if default_storage.exists(name):
        with default_storage.open(name) as stored:
            if hashlib.sha256(stored.read()).hexdigest() == sha256:
                return name, sha256
        default_storage.delete(name)
    return default_storage.save(name, ContentFile(content)), sha256
