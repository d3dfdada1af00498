"""One whole case from a layout, a resin and the changes that a request makes to how the shot is run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from optimiser.case.case_digests import RESIN_BLOCKS, SETTINGS_BLOCKS, CaseDigests, digests_of
from optimiser.case.merge_patch import merge_patch
from optimiser.case.plain_data import refuse_odd_values
from optimiser.case.pointer import keys_of, pointer
from optimiser.case.read_case import Case, case_from_mapping
from optimiser.case.say_found import say_found
from optimiser.errors import Fault, InputError

BLOCKS_THAT_MAY_CHANGE: Final = (*SETTINGS_BLOCKS, *RESIN_BLOCKS)


@dataclass(frozen=True, kw_only=True)
class Composed:
    data: dict[str, Any]
    """Plain data of the whole case, before assumptions: reading it gives `case`."""
    case: Case
    digests: CaseDigests


def compose_case(
    layout: Mapping[str, Any], *, resin: Mapping[str, Any] | None = None, changes: Mapping[str, Any] | None = None
) -> Composed:
    """The layout with its resin block replaced, then the changes merged into it (RFC 7396).

    Changes may touch supply, process, crew, rules, search and resin; nothing of the part. InputError with pointers
    under /changes for what stands there, and as in any case for the rest.
    """
    data = dict(layout)
    if resin is not None:
        data["resin"] = dict(resin)
    if changes is not None:
        _refuse_other_blocks(changes)
        if resin is not None:
            _refuse_other_name(changes)
        merged = merge_patch(data, changes)
        data = merged if isinstance(merged, dict) else data
    try:
        case = case_from_mapping(data)
    except InputError as error:
        raise InputError(_where_written(fault, changes) for fault in error.faults) from error
    return Composed(data=data, case=case, digests=digests_of(case))


def _refuse_other_blocks(changes: object) -> None:
    at = pointer("changes")
    if not isinstance(changes, Mapping):
        raise InputError([Fault(path=at, found=say_found(changes), expected="a mapping: a JSON merge patch")])
    try:
        refuse_odd_values(changes)
    except InputError as error:
        raise InputError(replace(fault, path=at + fault.path) for fault in error.faults) from error
    faults = [
        Fault(
            path=at + pointer(key),
            found="a block that may not be changed here",
            expected=f"only {', '.join(BLOCKS_THAT_MAY_CHANGE)}",
            remedy="change the layout itself",
        )
        for key in changes
        if key not in BLOCKS_THAT_MAY_CHANGE
    ]
    if faults:
        raise InputError(faults)


def _refuse_other_name(changes: Mapping[str, Any]) -> None:
    """A plan carries the name of its resin: with one of the store, that one's."""
    resin = changes.get("resin")
    if isinstance(resin, Mapping) and "name" in resin:
        fault = Fault(
            path=pointer("changes", "resin", "name"),
            found=say_found(resin["name"]),
            expected="nothing: the resin of the store keeps its name",
            remedy="leave it out, or add a resin of that name",
        )
        raise InputError([fault])


def _where_written(fault: Fault, changes: Mapping[str, Any] | None) -> Fault:
    """Under /changes where the changes have that place."""
    place: object = changes
    for key in keys_of(fault.path):
        if isinstance(place, Mapping) and key in place:
            place = place[key]
        elif isinstance(place, list) and key.isdecimal() and int(key) < len(place):
            place = place[int(key)]
        else:
            return fault
    return replace(fault, path=pointer("changes") + fault.path) if fault.path and changes else fault
