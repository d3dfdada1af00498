"""`tapcall withdraw` and `tapcall reinstate`: plans that nobody may use any more, from the shell."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated

import typer

from api.cli.exits import Debug, ending_well
from api.cli.service_settings import DataFolder, plain_store_errors, settings_with
from optimiser.errors import Fault, InputError

if TYPE_CHECKING:
    from pathlib import Path

    from sqlalchemy import Connection

Plan = Annotated[
    str, typer.Argument(metavar="PLAN", help="Id of a stored plan, or the number at the foot of its sheet.")
]


def withdraw(
    plan: Plan,
    reason: Annotated[str, typer.Option(metavar="TEXT", help="Why, in a sentence: it is printed on its sheet.")],
    data: DataFolder = None,
    debug: Debug = False,
) -> None:
    """Use a stored plan no more: its sheet says DO NOT INFUSE, and no revalidation judges it.

    It stays readable, and `tapcall reinstate` takes it back. Printed copies know nothing of it: take them down.

    Example: tapcall withdraw 1A2B3C4D --reason "Replaced after the change of batch."
    """
    with ending_well(debug=debug), plain_store_errors():
        from api.store.withdrawals import AlreadyWithdrawnError
        from api.store.withdrawals import withdraw as withdraw_in_store

        _check_sentence(reason)

        def change(connection: Connection, plan_id: str) -> None:
            try:
                withdraw_in_store(connection, plan_id, reason=reason, by=None)
            except AlreadyWithdrawnError as error:
                fault = Fault(
                    path="--reason",
                    found=reason,
                    expected=f"the reason it was withdrawn for before: {error.reason}",
                    remedy="reinstate it first, if the new reason is to stand",
                )
                raise InputError([fault]) from error

        plan_id = _changed(data, plan, "plan.withdraw (command line)", change)
        print(f"{plan_id} is withdrawn. Take down every printed copy of its sheet and labels.", flush=True)


def reinstate(plan: Plan, data: DataFolder = None, debug: Debug = False) -> None:
    """Take a withdrawal back.

    Example: tapcall reinstate 1A2B3C4D
    """
    with ending_well(debug=debug), plain_store_errors():
        from api.store.withdrawals import reinstate as reinstate_in_store

        plan_id = _changed(data, plan, "plan.reinstate (command line)", reinstate_in_store)
        print(f"{plan_id} is in use.", flush=True)


def _changed(data: Path | None, plan: str, action: str, change: Callable[[Connection, str], None]) -> str:
    """The id of the one plan that is meant, once the store has changed."""
    from api.audit import note
    from api.store.open import ready_store

    with ready_store(settings_with(data=data), may_begin=False) as store, store.write() as connection:
        plan_id = _one_plan(connection, plan)
        change(connection, plan_id)
        note(connection, key_id=None, action=action, subject=plan_id)
    return plan_id


def _one_plan(connection: Connection, named: str) -> str:
    from api.store.plans import plans_named

    found = plans_named(connection, named)
    if len(found) != 1:
        expected = "the id of a plan in this store, or the number at the foot of its sheet"
        also = f"; that number has {' and '.join(found)}: name one of them" if found else ""
        raise InputError([Fault(path="PLAN", found=named, expected=expected + also)])
    return found[0]


def _check_sentence(reason: str) -> None:
    from pydantic import TypeAdapter, ValidationError

    from optimiser.case.document_shape import Sentence

    try:
        TypeAdapter(Sentence).validate_python(reason)
    except ValidationError as error:
        fault = Fault(path="--reason", found=reason, expected="a sentence of 1 to 200 characters that can be printed")
        raise InputError([fault]) from error
