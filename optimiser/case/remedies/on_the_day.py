"""Changes that take no work at the mould: a rule left out, a higher flow cap."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.process_document import MeteringMachine
from optimiser.case.remedies.proposal import Edit, Effort, Failing, Proposal

_MORE_FLOW = (1.25, 1.5, 2.0)


def rules_left_out(failing: Failing) -> Iterator[Proposal]:
    """Each rule of start, order, pairs, groups and latest times that the case asks for."""
    for name, asked in (("start", failing.document.rules.start), ("order", failing.document.rules.order)):
        if asked:
            yield Proposal(
                effort=Effort.RULE,
                change=f"leave out the rule of the {name} ({', '.join(asked)})",
                edits=(Edit(keys=("rules", name), value=[]),),
            )
    rules = failing.document.rules
    of_taps = (
        ("never_at_once", "pairs never open at once", ["/".join(pair) for pair in rules.never_at_once]),
        ("together", "groups that open together", ["/".join(group) for group in rules.together]),
        ("latest", "latest times", [one.label for one in rules.latest]),
    )
    for name, what, labels in of_taps:
        if labels:
            yield Proposal(
                effort=Effort.RULE,
                change=f"leave out the rule of the {what} ({', '.join(labels)})",
                edits=(Edit(keys=("rules", name), value=[]),),
            )


def higher_flow_cap(failing: Failing) -> Iterator[Proposal]:
    """Where the cap of the machine binds."""
    supply = failing.document.supply
    if not failing.late or not isinstance(supply, MeteringMachine) or not failing.result.chosen.run.capped:
        return
    for factor in _MORE_FLOW:
        cap = round(supply.flow_cap_kg_per_min * factor, 2)
        yield Proposal(
            effort=Effort.FLOW_CAP,
            change=f"a flow cap of {cap:g} kg/min in place of {supply.flow_cap_kg_per_min:g}, if the machine allows it",
            edits=(Edit(keys=("supply", "flow_cap_kg_per_min"), value=cap),),
        )
