"""One whole case from a layout, a resin and the changes that a request makes to how the shot is run."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from optimiser.case.case_digests import RESIN_BLOCKS, SETTINGS_BLOCKS, CaseDigests, digests_of
from optimiser.case.merge_patch import merge_patch
from optimiser.case.plain_data import refuse_odd_values
from optimiser.case.pointer import pointer
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
    under /changes for the changes themselves, and as in any case for what comes of them.
    """
    data = dict(layout)
    if resin is not None:
        data["resin"] = dict(resin)
    if changes is not None:
        _refuse_other_blocks(changes)
        merged = merge_patch(data, changes)
        data = merged if isinstance(merged, dict) else data
    case = case_from_mapping(data)
    return Composed(data=data, case=case, digests=digests_of(case))


def _refuse_other_blocks(changes: object) -> None:
    at = pointer("changes")
    if not isinstance(changes, Mapping):
        raise InputError([Fault(path=at, found=say_found(changes), expected="a mapping: a JSON merge patch")])
    try:
        refuse_odd_values(changes)
    except InputError as error:
        raise InputError(
            Fault(path=at + fault.path, found=fault.found, expected=fault.expected, remedy=fault.remedy)
            for fault in error.faults
        ) from error
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
