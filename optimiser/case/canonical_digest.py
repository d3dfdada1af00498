"""One digest for data that says the same, whatever its layout or order of keys."""

from __future__ import annotations

import hashlib
import json


def canonical_digest(data: object) -> str:
    """SHA-256, in hexadecimal, of plain data in canonical JSON: sorted keys, no blanks, UTF-8."""
    canonical = json.dumps(data, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(canonical.encode()).hexdigest()
