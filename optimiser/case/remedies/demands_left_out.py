"""Rules of the user left out, the ones in conflict first; or one more pair of hands, where hands are in conflict."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from optimiser.case.conflict_words import asks_at
from optimiser.case.pointer import keys_of, pointer
from optimiser.case.process_document import RulesDocument
from optimiser.case.remedies.proposal import Edit, Effort, Failing, Proposal
from optimiser.sequencing.asked import GEL_FIELD, HANDS_FIELD

_MOST_SETS = 4
_RULES = ("start", "order", "never_at_once", "together", "latest")


def demands_left_out(failing: Failing) -> Iterator[Proposal]:
    """Each set of fields that the zone graph knows to help, then each kind of rule by itself.

    The gel limit is never left out.
    """
    found = failing.result.conflict
    helps = [] if found is None else [one for one in found.left_out if GEL_FIELD not in one][:_MOST_SETS]
    data = failing.document.model_dump(mode="json")
    asked = [(pointer("rules", name),) for name in _RULES if getattr(failing.document.rules, name)]
    for paths in dict.fromkeys([*helps, *asked]):
        yield Proposal(
            effort=Effort.RULE,
            change=" and ".join(_said(data, path) for path in paths),
            edits=_edits(data, paths),
        )


def _said(data: Any, path: str) -> str:
    return "one more pair of hands" if path == HANDS_FIELD else f"leave out {asks_at(data, path)}"


def _edits(data: Any, paths: tuple[str, ...]) -> tuple[Edit, ...]:
    """A rule goes back to its default, one of a list of rules out of its list, a line back to free choice."""
    edits: list[Edit] = []
    lists: dict[str, set[int]] = {}
    for path in paths:
        match list(keys_of(path)):
            case ["rules", field]:
                default = RulesDocument.model_fields[field].get_default(call_default_factory=True)
                edits.append(Edit(keys=("rules", field), value=list(default) if default == () else default))
            case ["rules", field, place]:
                lists.setdefault(field, set()).add(int(place))
            case ["feed_lines", place, "use"]:
                edits.append(Edit(keys=("feed_lines", int(place), "use"), value="candidate"))
            case ["crew", "hands"]:
                edits.append(Edit(keys=("crew", "hands"), value=data["crew"]["hands"] + 1))
    for field, places in lists.items():
        kept = [one for k, one in enumerate(data["rules"][field]) if k not in places]
        edits.append(Edit(keys=("rules", field), value=kept))
    return tuple(edits)
