"""Are the tables of the store those that this version of the program expects?"""

from __future__ import annotations

from pathlib import Path

from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

import api.store
from api.doctor.finding import Finding, ok, trouble, warning

_SCRIPTS = Path(api.store.__file__).parent / "migrations"


def schema(connection: Connection) -> Finding:
    what = "tables of the store"
    here = MigrationContext.configure(connection).get_current_revision()
    known = [script.revision for script in ScriptDirectory(str(_SCRIPTS)).walk_revisions()]
    if here is None:
        return warning(what, "none yet", "nothing: tapcall serve makes them at its start")
    if here not in known:
        return trouble(
            what,
            f"version {here}, written by a later tapcall; this one knows {known[0]}",
            "install that tapcall; this one leaves the store alone",
        )
    if here != known[0]:
        return warning(
            what,
            f"version {here}, this tapcall needs {known[0]}; what is in them was not looked at",
            "make a backup (tapcall backup), then start tapcall serve, which brings them up to date",
        )
    return ok(what, f"version {here}, as needed")
