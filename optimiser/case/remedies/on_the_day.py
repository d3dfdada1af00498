"""Changes that take no work at the mould: a higher flow cap."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.process_document import MeteringMachine
from optimiser.case.remedies.proposal import Edit, Effort, Failing, Proposal

_MORE_FLOW = (1.25, 1.5, 2.0)


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
