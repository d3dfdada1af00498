"""How a kept plan stands today, from what the store knows of it."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, Row

from api.store.judgements import judgements_of
from api.store.withdrawals import find_withdrawal
from optimiser.run_sheet.standing import Condemned, Finding, Standing, Withdrawn

_WORST_FIRST = (Finding.ORDER, Finding.NOTHING, Finding.TIMES)
_BARS = {"no_longer_valid": Finding.ORDER, "new_clock": Finding.TIMES}


def standing_of(connection: Connection, plan_id: str) -> Standing:
    withdrawal = find_withdrawal(connection, plan_id)
    return Standing(
        withdrawn=None if withdrawal is None else Withdrawn(at=withdrawal.at, reason=withdrawal.reason),
        condemned=condemned_by(judgements_of(connection, plan_id)),
    )


def condemned_by(newest_first: Iterable[Row[Any]]) -> tuple[Condemned, ...]:
    """What bars the sheet and has not been asked again since, the worst first, of equals the newest.

    Each run judges by its own change alone, so only one that changes all that an earlier one did takes its place: a
    cold morning answers no gel test.
    """
    found: list[Condemned] = []
    later: list[frozenset[str]] = []
    for one in newest_first:
        changes = frozenset(json.loads(one.change))
        bars = Finding.NOTHING if one.state == "set_aside" else _BARS.get(one.answer)
        if bars is not None and not any(changes <= since for since in later):
            found.append(Condemned(at=one.decided_at, change=tuple(json.loads(one.said)), found=bars))
        later.append(changes)
    return tuple(sorted(found, key=lambda one: _WORST_FIRST.index(one.found)))
