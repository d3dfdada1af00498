"""What each line does alone, cell by cell, and what that is on the zones.

Times are those of resin that stays as it is at the first tap (`FluidityClock.fresh_s`): a line opened late gives resin
as thick as it then is, and on that clock takes as long as one opened at the start. Hands are taken to be as slow on it.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import networkx as nx
import numpy as np

from optimiser.filling.fill_run import FillRun
from optimiser.filling.fluidity_time import FluidityClock
from optimiser.filling.tap_play import reached_at
from optimiser.network.flow_network import FloatArray, FlowNetwork
from optimiser.network.zones import Zones
from optimiser.part.part import LineUse
from optimiser.part.sequence import Action
from optimiser.part.shot import Shot
from optimiser.physics.closed_form import constant_flow_fill_time_s
from optimiser.sequencing.zone_problem import NEVER, WaitCut, ZoneProblem, ticks_down, ticks_up


@dataclass
class LineArrivals:
    """Arrivals from each line alone; corrected by what the network shows of lines together."""

    network: FlowNetwork
    cell_s: FloatArray
    """(lines, cells)."""
    line_s: FloatArray
    """(lines, lines): from the opening of the first to resin all along the second."""
    clock: FluidityClock
    learnt: list[FillRun] = field(default_factory=list)
    """Clean runs of lines together."""

    @staticmethod
    def from_runs(network: FlowNetwork, runs: dict[int, FillRun], clock: FluidityClock) -> LineArrivals:
        """clock: that of the runs."""
        count = len(network.lines)
        out = LineArrivals(
            network=network,
            cell_s=np.full((count, network.cell_count), np.inf),
            line_s=np.full((count, count), np.inf),
            clock=clock,
        )
        out.add(runs)
        return out

    def add(self, runs: dict[int, FillRun]) -> None:
        """Each of one line alone."""
        network = self.network
        for k, run in runs.items():
            arrival_s = self.clock.fresh_s(run.arrival_s)
            self.cell_s[k] = network.latest(arrival_s)
            for j, line in enumerate(network.lines):
                self.line_s[k, j] = reached_at(network, line.label, 1.0, arrival_s)

    def learn(self, run: FillRun) -> None:
        """Lines help each other: what is last to be wet in a zone was there sooner than from its line alone."""
        self.learnt.append(run)

    def on_zones(self, zones: Zones) -> FloatArray:
        """(lines, zones): when all of a zone is wet, from the opening of each line."""
        out = np.full((len(self.cell_s), zones.count), -np.inf)
        for k, row in enumerate(self.cell_s):
            np.maximum.at(out[k], zones.zone_of_cell, row)
        for run in self.learnt:
            self._correct(out, zones, run)
        return out

    def _correct(self, out: FloatArray, zones: Zones, run: FillRun) -> None:
        """Credit each zone's time in this run to the line whose resin wetted it last.

        Where resin came along the empty pipe of a line before its tap opened, the first line of the shot is credited.
        """
        index = self.network.line_index
        opened = {
            index[one.step.label]: self.clock.as_fresh_s(0.0, one.done_s)
            for one in run.steps
            if one.step.action is Action.OPEN
        }
        arrival = self.network.latest(self.clock.fresh_s(run.arrival_s))
        order = np.argsort(arrival, kind="stable")
        last = np.zeros(zones.count, dtype=np.int64)
        last[zones.zone_of_cell[order]] = order
        first = min(opened, key=lambda line: (opened[line], line))
        for zone, cell in enumerate(last.tolist()):
            line = int(run.source[cell])
            line = line if opened.get(line, np.inf) < arrival[cell] else first
            out[line, zone] = min(out[line, zone], float(arrival[cell]) - opened[line])

    def reached_s(self, opens_s: dict[str, float]) -> dict[str, float]:
        """When resin from the other opened lines is expected all along each line."""
        labels = [line.label for line in self.network.lines]
        out = {}
        for j, label in enumerate(labels):
            times = [
                opens_s[other] + float(self.line_s[k, j])
                for k, other in enumerate(labels)
                if other != label and other in opens_s
            ]
            out[label] = min(times, default=float("inf"))
        return out


def zone_problem(
    shot: Shot,
    arrivals: LineArrivals,
    zones: Zones,
    graph: nx.Graph,
    waits: tuple[WaitCut, ...],
    *,
    horizon_s: float,
    limit_s: float | None = None,
) -> ZoneProblem:
    """The shot on the zone graph, in ticks of fresh resin; arrivals are rounded up, the horizon is of the shot's clock.

    A zone drains into a neighbour only if that is wet later by the spread's share of the flow time between them:
    where fronts close nearer together than permeability is known, the order of closing is chance. A capped supply
    bounds wet-out from below by what it can have given; each line alone was played with it.
    limit_s: when all must be wet; None: no matter when.
    """
    tick, spread = shot.search.tick_s, shot.process.permeability_spread_fraction
    index = arrivals.network.line_index
    horizon_s = arrivals.clock.as_fresh_s(0.0, horizon_s)
    horizon = ticks_up(horizon_s, tick)
    table = arrivals.on_zones(zones)
    lines = shot.part.feed_lines
    return ZoneProblem(
        arrival=tuple(
            tuple(ticks_up(time, tick) if time <= horizon_s else NEVER for time in row.tolist()) for row in table
        ),
        neighbours=tuple(
            {other: max(1, ticks_up(spread * data["flow_s"], tick)) for other, data in sorted(graph[zone].items())}
            for zone in range(zones.count)
        ),
        vented=frozenset(
            zone for zone, vents in graph.nodes(data="vents") if vents & _open_until_reached(shot)
        ),
        vents=tuple(
            frozenset(zone for zone, vents in graph.nodes(data="vents") if vent.label in vents)
            for vent in shot.part.vents
            if vent.may_stay_clamped and vent.on_line is None
        ),
        always_open=tuple(
            frozenset(zone for zone, vents in graph.nodes(data="vents") if label in vents)
            for label in sorted(_open_until_reached(shot))
        ),
        line_vents=tuple(
            (
                index[vent.on_line],
                frozenset(zone for zone, vents in graph.nodes(data="vents") if vent.label in vents),
            )
            for vent in shot.part.vents
            if vent.on_line is not None
        ),
        required=frozenset(k for k, line in enumerate(lines) if line.use is LineUse.REQUIRED),
        forbidden=frozenset(k for k, line in enumerate(lines) if line.use is LineUse.FORBIDDEN),
        start=frozenset(index[label] for label in shot.rules.start_labels),
        order=tuple(index[label] for label in shot.rules.order),
        hands=shot.crew.hands,
        action=ticks_up(shot.crew.action_s, tick),
        horizon=horizon,
        waits=waits,
        apart=tuple((index[a], index[b]) for a, b in shot.rules.never_at_once),
        together=tuple(
            (frozenset(index[label] for label in group), ticks_up(shot.crew.within_s(group), tick))
            for group in shot.rules.together
        ),
        latest=tuple(
            (index[label], ticks_down(arrivals.clock.as_fresh_s(0.0, latest_s), tick))
            for label, latest_s in shot.rules.latest_s
        ),
        walks=_walks(shot, tick),
        limit=None if limit_s is None else ticks_down(arrivals.clock.as_fresh_s(0.0, limit_s), tick),
        supplied=ticks_down(arrivals.clock.as_fresh_s(0.0, supplied_s(shot, arrivals.network)), tick),
        use_fields=use_fields(shot),
    )


def supplied_s(shot: Shot, network: FlowNetwork) -> float:
    """When a supply that is capped has given what the sheet holds, V / Q; 0: it is not capped."""
    if shot.supply.most_flow_m3_s is None:
        return 0.0
    held_m3 = float(network.volume_m3[: network.sheet_count].sum())
    return constant_flow_fill_time_s(pore_volume_m3=held_m3, flow_m3_s=shot.supply.most_flow_m3_s)


def _open_until_reached(shot: Shot) -> set[str]:
    """Labels of the vents that are nothing but vents and are used at any rate."""
    return {vent.label for vent in shot.part.vents if not vent.may_stay_clamped and vent.on_line is None}


def _walks(shot: Shot, tick_s: float) -> tuple[tuple[int, ...], ...]:
    """Between the taps of every two lines; empty where the crew's manifolds are not known."""
    crew = shot.crew
    if not crew.places:
        return ()
    at = [crew.place_of(line.label) for line in shot.part.feed_lines]
    return tuple(tuple(ticks_up(crew.walking_s(a, b), tick_s) for b in at) for a in at)


def use_fields(shot: Shot) -> tuple[str, ...]:
    """For each tap the place in the case that says how its line may be used: lines stand there in the same order."""
    place = {line: k for k, line in enumerate(dict.fromkeys(one.line for one in shot.part.feed_lines))}
    return tuple(f"/feed_lines/{place[one.line]}/use" for one in shot.part.feed_lines)
