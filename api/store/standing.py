"""How a kept plan stands today, from what the store knows of it."""

from __future__ import annotations

import json

from sqlalchemy import Connection

from api.store.judgements import last_judgement
from api.store.withdrawals import find_withdrawal
from optimiser.run_sheet.standing import Condemned, Standing, Withdrawn


def standing_of(connection: Connection, plan_id: str) -> Standing:
    withdrawal, judged = find_withdrawal(connection, plan_id), last_judgement(connection, plan_id)
    return Standing(
        withdrawn=None if withdrawal is None else Withdrawn(at=withdrawal.at, reason=withdrawal.reason),
        condemned=None
        if judged is None or judged.answer != "no_longer_valid"
        else Condemned(at=judged.decided_at, change=tuple(json.loads(judged.said))),
    )
