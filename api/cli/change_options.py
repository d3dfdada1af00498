"""A change as the options of `tapcall revalidate` say it, and faults in it under the names of those options."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from optimiser.errors import Fault, InputError

_OPTIONS = {
    "gel_test": "--gel-test",
    "mould_temperature_c": "--mould-temperature-c",
    "resin_temperature_c": "--resin-temperature-c",
    "initiator_level_percent": "--initiator-level-percent",
    "vacuum_mbar_abs": "--vacuum-mbar-abs",
    "ambient_mbar_abs": "--ambient-mbar-abs",
    "gel_fraction_percent": "--gel-fraction-percent",
    "resin_id": "--resin",
    "batch": "--batch",
}
_SAY_A_CHANGE = tuple(option for option in _OPTIONS.values() if option != "--batch")


def written_change(
    *, gel_test: str | None, resin: str | None, batch: str | None, **values: float | None
) -> dict[str, Any]:
    """As a `ChangeDocument` has it, without the resin; InputError where no change is said."""
    if batch is not None and resin is None:
        needs = Fault(path="--batch", found=f"{batch} alone", expected="--resin ID beside it: whose batch it is")
        raise InputError([needs])
    written: dict[str, Any] = {name: value for name, value in values.items() if value is not None}
    if gel_test is not None:
        written["gel_test"] = _gel_test(gel_test)
    if not written and resin is None:
        options = ", ".join(_SAY_A_CHANGE)
        raise InputError(
            [
                Fault(
                    path="tapcall revalidate",
                    found="no change",
                    expected=f"at least one of {options}",
                    remedy="--resin ID --batch NAME for a batch that was opened, --gel-test 20:1.5:74 for a gel test",
                )
            ]
        )
    return written


@contextmanager
def named_by_option() -> Iterator[None]:
    """Faults whose place is in the change are told by the option that said it."""
    try:
        yield
    except InputError as error:
        raise InputError(replace(fault, path=_option(fault.path)) for fault in error.faults) from error


def _option(path: str) -> str:
    return _OPTIONS.get(path.removeprefix("/").split("/")[0], path)


def _gel_test(text: str) -> dict[str, float]:
    try:
        temperature_c, initiator_percent, gel_time_min = map(float, text.split(":"))
    except ValueError as error:
        fault = Fault(
            path="--gel-test",
            found=text,
            expected="three numbers: temperature in degrees C, initiator in percent, gel time in minutes",
            remedy="for example 20:1.5:74",
        )
        raise InputError([fault]) from error
    return {
        "temperature_c": temperature_c,
        "initiator_percent": initiator_percent,
        "gel_time_min": gel_time_min,
    }
