"""SHA-256 sums of files, in the form that `sha256sum --check` reads."""

from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path


def manifest(files: Mapping[str, bytes | Path]) -> str:
    """One line a file, sorted by name; a path is read in pieces.

    files   name as it stands beside the manifest -> content or where it lies
    Raises  ValueError for a name with a line break, which would forge a line; OSError for a file that cannot be read
    """
    lines = []
    for name in sorted(files):
        if "\n" in name or "\r" in name:
            raise ValueError(f"The file name {name!r} has a line break; a manifest has one line a file.")
        escaped = name.replace("\\", "\\\\")
        mark = "\\" if escaped != name else ""  # how sha256sum marks a line with escapes
        lines.append(f"{mark}{_digest(files[name])}  {escaped}\n")
    return "".join(lines)


def _digest(content: bytes | Path) -> str:
    if isinstance(content, bytes):
        return sha256(content).hexdigest()
    digest = sha256()
    with content.open("rb") as stream:
        while piece := stream.read(1 << 20):
            digest.update(piece)
    return digest.hexdigest()
