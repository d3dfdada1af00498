"""What a remedy tells programs to write into the case: operations of JSON Patch, applied in order."""

from __future__ import annotations

from typing import Any

from cases import demo_case_path
from optimiser.case.pointer import keys_of
from optimiser.case.read_case import case_from_mapping, read_case
from optimiser.case.remedies.proposal import Edit, Effort, Proposal, changed, edits_of
from optimiser.case.remedies_document import CaseEdit


def applied(data: Any, edits: list[CaseEdit]) -> Any:
    """By RFC 6902, 4.1 and 4.3: '-' is behind the last entry of a list; what is there is replaced."""
    for edit in edits:
        *way, last = keys_of(edit.path)
        place = data
        for key in way:
            place = place[int(key)] if isinstance(place, list) else place[key]
        if last == "-":
            place.append(edit.value)
        else:
            place[int(last) if isinstance(place, list) else last] = edit.value
    return data


def test_two_new_entries_of_a_list_are_both_added_behind_it() -> None:
    """The second was named by an index that is not there until the first has been added."""
    case = read_case(demo_case_path("flat_panel"))
    vent = case.document.model_dump(mode="json")["vents"][0]
    new = [vent | {"name": f"V-{k}", "run_mm": [[20, 600 * k], [20, 600 * k + 100]]} for k in (1, 2)]
    edits = (
        *(Edit(keys=("vents", 2 + k), value=one) for k, one in enumerate(new)),
        Edit(keys=("vents", 0, "bore_mm"), value=14),
    )
    proposal = Proposal(effort=Effort.VENT, change="two vents more, one wider", edits=edits)
    told = edits_of(case, proposal)
    assert [edit.path for edit in told] == ["/vents/-", "/vents/-", "/vents/0/bore_mm"]
    data = applied(case.document.model_dump(mode="json"), told)
    assert case_from_mapping(data).document == changed(case, proposal).document
