"""Which migration is the last."""

from __future__ import annotations

from pathlib import Path

from alembic.script import ScriptDirectory

import api.store
from api.store.migrate import NEWEST


def test_a_start_that_finds_nothing_to_migrate_knows_the_last_migration() -> None:
    """Else a store would stay behind, or every start would look through all migrations."""
    scripts = ScriptDirectory(str(Path(api.store.__file__).parent / "migrations"))
    assert scripts.get_current_head() == NEWEST
