"""A workbook as bytes without a trace of the clock, so that equal workbooks are equal files."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from openpyxl import Workbook
from openpyxl.xml.constants import ARC_CORE
from openpyxl.xml.functions import tostring

_EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The earliest time that an entry of a ZIP file can carry."""


def workbook_bytes(book: Workbook, *, made_at: datetime) -> bytes:
    """The saved workbook, said to be of `made_at`. openpyxl puts in the time of saving, which is taken out again."""
    saved, kept = io.BytesIO(), io.BytesIO()
    book.save(saved)
    book.properties.created = book.properties.modified = made_at.astimezone(UTC).replace(tzinfo=None, microsecond=0)
    with ZipFile(saved) as written, ZipFile(kept, "w") as archive:
        for name in written.namelist():
            content = tostring(book.properties.to_tree()) if name == ARC_CORE else written.read(name)
            archive.writestr(ZipInfo(name, _EARLIEST), content, compress_type=ZIP_DEFLATED)
    return kept.getvalue()
