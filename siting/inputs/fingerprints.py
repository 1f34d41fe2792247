"""Hashes of the files that a plan is made from, and the run id."""

from __future__ import annotations

import hashlib
from pathlib import Path

from siting.records.ground import Grid
from siting.records.plan import InputFile
from siting.version import VERSION

# A file up to this size is hashed whole; of a larger DEM the heights that were read, so that a plan on a huge
# DEM costs what its window costs.
WHOLE_FILE_MAX_BYTES = 32 * 1024 * 1024


def fingerprint_files(files: tuple[tuple[str, Path], ...]) -> tuple[InputFile, ...]:
    """Each file with the SHA-256 of its bytes."""
    return tuple(InputFile(shown, _sha256(path), "the whole file") for shown, path in dict(files).items())


def fingerprint_dem(shown: str, path: Path, grid: Grid) -> InputFile:
    """The DEM's hash: of the whole file, or of a large one's heights in the window."""
    if path.is_file() and path.stat().st_size <= WHOLE_FILE_MAX_BYTES:
        return InputFile(shown, _sha256(path), "the whole file")
    digest = hashlib.sha256(f"{grid.row0},{grid.col0},{grid.heights_m.shape}".encode())
    digest.update(grid.heights_m.astype("<f8").tobytes())
    return InputFile(shown, digest.hexdigest(), "the heights that were read, in metres")


def run_id(inputs: tuple[InputFile, ...], options: str) -> str:
    """Twelve characters that change with any input, option or version; no unit."""
    digest = hashlib.sha256(f"{VERSION}\n{options}\n".encode())
    for item in inputs:
        digest.update(f"{item.path} {item.sha256}\n".encode())
    return digest.hexdigest()[:12]


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
