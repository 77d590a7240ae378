"""The manifest, checked by the tool everybody has."""

import shutil
import subprocess
from pathlib import Path

import pytest

from reports.manifest import manifest


def test_sums_are_those_of_the_standard() -> None:
    # SHA-256 of "abc": FIPS 180-2, appendix B.1
    assert manifest({"a.txt": b"abc"}) == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad  a.txt\n"


def test_names_are_sorted_and_paths_are_read(tmp_path: Path) -> None:
    (tmp_path / "b.bin").write_bytes(b"x" * 3_000_000)
    lines = manifest({"b.bin": tmp_path / "b.bin", "a.txt": b"abc"}).splitlines()
    assert [line.split("  ")[1] for line in lines] == ["a.txt", "b.bin"]


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="sha256sum is not installed")
def test_sha256sum_accepts_it(tmp_path: Path) -> None:
    names = ["plain.pdf", "with space.pdf", "back\\slash.pdf", "رسم.pdf"]
    for name in names:
        (tmp_path / name).write_bytes(name.encode())
    (tmp_path / "SHA256SUMS").write_text(manifest({name: tmp_path / name for name in names}), encoding="utf-8")
    done = subprocess.run(
        ["sha256sum", "--check", "--strict", "SHA256SUMS"], cwd=tmp_path, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr


def test_refuses_a_name_that_would_forge_a_line() -> None:
    with pytest.raises(ValueError, match="line break"):
        manifest({"a\nb": b""})
