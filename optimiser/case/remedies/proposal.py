"""A change of a case before it has been tried."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass
from enum import IntEnum
from typing import Any

from optimiser.case.case_document import CaseDocument
from optimiser.case.pointer import pointer
from optimiser.case.read_case import Case, case_from_mapping
from optimiser.case.remedies_document import CaseEdit
from optimiser.filling.fill_run import FillRun
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.shot import Shot
from optimiser.plan.catch_pots import running_over
from optimiser.plan.gel_judgement import judge_gel
from optimiser.plan.in_time import filled_late_s, margin_on_finer_s
from optimiser.plan.result import PlanResult


class Effort(IntEnum):
    """Least first. Common practice, no source: rules and dials before hoses, hoses before what lies under the bag."""

    RULE = 1
    POT = 2
    INITIATOR = 3
    TEMPERATURE = 4
    FLOW_CAP = 5
    VENT = 6
    MESH = 7
    SPLIT = 8
    BORE = 9
    LINE = 10
    LINES = 11


@dataclass(frozen=True, kw_only=True)
class Edit:
    keys: tuple[str | int, ...]
    """To the place in the document; one past the end of a list adds to it."""
    value: Any


@dataclass(frozen=True, kw_only=True)
class Proposal:
    effort: Effort
    change: str
    edits: tuple[Edit, ...]


@dataclass(frozen=True, kw_only=True)
class Failing:
    """A case without an admissible sequence, and the best that was found for it."""

    case: Case
    result: PlanResult

    @property
    def document(self) -> CaseDocument:
        return self.case.document

    @property
    def shot(self) -> Shot:
        return self.case.shot

    @property
    def limit_s(self) -> float:
        return self.result.scenes.resin_clock.limit_s(self.shot.process.gel_fraction)

    @property
    def wet_out_s(self) -> float:
        """The later of that as planned and on cells of half the size; infinity: never."""
        finer_run = self.result.chosen.finer_run
        return max(self.result.chosen.run.wet_out_s, 0.0 if finer_run is None else finer_run.wet_out_s)

    @property
    def late(self) -> bool:
        """Wet after the limit, on finer cells too, or never; or too late for what a machine takes to fill its hose."""
        shot, scenes, chosen = self.shot, self.result.scenes, self.result.chosen
        judged = judge_gel(shot, scenes.resin_clock, scenes.full, chosen.run)
        return min(judged.margin_s, margin_on_finer_s(scenes, chosen)) < filled_late_s(shot)

    @property
    def locks(self) -> bool:
        return any(lock.fails for _, run in self.runs for lock in run.locks)

    @property
    def only_pots(self) -> bool:
        """A catch pot runs over, and nothing is late or locked."""
        over = running_over(self.shot.part, self.result.chosen.run)
        return bool(over) and self.result.chosen.holds and not self.late

    @property
    def runs(self) -> list[tuple[FlowNetwork, FillRun]]:
        """All of the best sequence that was found, each with its network."""
        chosen, scenes = self.result.chosen, self.result.scenes
        runs = [(scenes.full, run) for run in (chosen.run, *chosen.spread_runs)]
        if chosen.finer_run is not None and scenes.finer is not None:
            runs.append((scenes.finer.network, chosen.finer_run))
        return runs


def joined(one: Proposal, other: Proposal) -> Proposal:
    """Both, of the effort of the first."""
    return Proposal(effort=one.effort, change=f"{one.change}; and {other.change}", edits=(*one.edits, *other.edits))


def changed(case: Case, proposal: Proposal) -> Case:
    """The case with it; InputError where the case would then be refused."""
    data = case.document.model_dump(mode="json")
    for edit in proposal.edits:
        place: Any = data
        *way, last = edit.keys
        for key in way:
            place = place[key]
        if isinstance(place, list) and last == len(place):
            place.append(deepcopy(edit.value))
        else:
            place[last] = deepcopy(edit.value)
    return case_from_mapping(data)


def edits_of(case: Case, proposal: Proposal) -> list[CaseEdit]:
    """As the plan names them: each new entry of a list by '-', also the second, as they are applied in order."""
    data = case.document.model_dump(mode="json")
    return [CaseEdit(path=_path(data, edit.keys), value=edit.value) for edit in proposal.edits]


def _path(data: Any, keys: tuple[str | int, ...]) -> str:
    *way, last = keys
    for key in way:
        data = data[key]
    adds = isinstance(data, list) and isinstance(last, int) and last >= len(data)
    return pointer(*way, "-" if adds else last)
