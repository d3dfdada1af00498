"""What can go wrong with a backup that the person who asked for it can mend."""

from __future__ import annotations


class BackupError(Exception):
    """No backup was written, or none was put back; the message says why."""
