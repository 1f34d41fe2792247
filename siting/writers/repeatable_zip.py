"""A zip whose bytes are the same for the same content: order, dates and rights are fixed."""

from __future__ import annotations

import io
import zipfile

FIRST_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest that a zip can state
UNIX = 3
PLAIN_FILE = 0o100644 << 16


def zip_bytes(files: dict[str, bytes]) -> bytes:
    """The files, in the order given, as one zip."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as packed:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name, FIRST_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = UNIX
            entry.external_attr = PLAIN_FILE
            packed.writestr(entry, data)
    return buffer.getvalue()
