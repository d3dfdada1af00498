"""One whole case from a layout, a resin and the changes that a request makes to how the shot is run."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
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
_OTHER_RESIN: Final = "leave it out, or add a resin or a batch with these data to the store"


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

    Changes may touch supply, process, crew, rules, search and resin; nothing of the part, and of a resin of the store
    only the initiator's level. InputError with pointers under /changes for what stands or is missing there, and as in
    any case for the rest.
    """
    data = dict(layout)
    if resin is not None:
        data["resin"] = dict(resin)
    if changes is not None:
        _refuse_other_blocks(changes)
        if resin is not None:
            _refuse_other_resin(changes)
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


def _refuse_other_resin(changes: Mapping[str, Any]) -> None:
    """Name, batch and data are those of the store, for plans are found and judged by them; each shot has its level."""
    if "resin" not in changes:
        return
    at, resin = pointer("changes", "resin"), changes["resin"]
    faults = list(_faults_beside(resin, "initiator", at))
    if isinstance(resin, Mapping) and "initiator" in resin:
        faults += _faults_beside(resin["initiator"], "level_percent", at + pointer("initiator"))
    if faults:
        raise InputError(faults)


def _faults_beside(block: object, may_change: str, at: str) -> Iterator[Fault]:
    said = {"expected": f"only {may_change}: the resin of the store stays as it is", "remedy": _OTHER_RESIN}
    if not isinstance(block, Mapping):
        yield Fault(path=at, found=say_found(block), **said)
        return
    for key, value in block.items():
        if key != may_change:
            yield Fault(path=at + pointer(key), found=say_found(value), **said)


def _where_written(fault: Fault, changes: Mapping[str, Any] | None) -> Fault:
    """Under /changes where the changes hold its block, be it the place itself that is left out there: that is where to
    write it, or null to take it away. Of a resin only what the changes hold, as the rest may stand in the store.
    """
    keys, place = list(keys_of(fault.path)), changes or {}
    asked = keys[:1] if keys and keys[0] in SETTINGS_BLOCKS else keys
    return replace(fault, path=pointer("changes") + fault.path) if asked and _holds(place, asked) else fault


def _holds(place: object, keys: list[str]) -> bool:
    """The place that the keys lead to, or something above it that is no mapping."""
    for key in keys:
        if not isinstance(place, Mapping):
            return True
        if key not in place:
            return False
        place = place[key]
    return True
