"""Sequences that a crew would think of, and small changes of the best one: what the zone graph has to beat."""

from __future__ import annotations

from optimiser.network.flow_network import FlowNetwork
from optimiser.part.sequence import Sequence
from optimiser.part.shot import Shot
from optimiser.plan.joined_moves import joined_beyond_vents
from optimiser.plan.longest_first import longest_first
from optimiser.plan.merit import merit
from optimiser.plan.result import Candidate
from optimiser.plan.shop_rules import listed_in_order
from optimiser.sequencing.by_hand import Named, all_at_once, bay_by_bay_from, line_groups, on_reach_from
from optimiser.sequencing.vent_lines import vents_before_feeds

_MOST_JOINED = 2


def by_hand(shot: Shot) -> list[Named]:
    """All at once, outward from each line and from the given start, and the shop's own sequence."""
    part, rules = shot.part, shot.rules
    out = [all_at_once(part)]
    if rules.start_labels:
        out.append(on_reach_from(part, rules.start_labels, "outward on reach from the given start"))
        out.append(bay_by_bay_from(part, rules.start_labels, "outward bay by bay from the given start"))
    for name, labels in line_groups(part).items():
        out.append(on_reach_from(part, labels, f"outward on reach from {name}"))
        out.append(bay_by_bay_from(part, labels, f"outward bay by bay from {name}"))
    out = in_turn(shot, out)
    if rules.own_sequence is not None:
        out.append(Named(name="your own sequence", sequence=rules.own_sequence))
    return out


def across_vents(shot: Shot, network: FlowNetwork, candidates: list[Candidate]) -> list[Named]:
    """The best few of what was played by hand, with taps beyond a vent opened together with the line before it."""
    given = bool(shot.rules.start_labels)
    moves = [
        move
        for one in sorted(candidates, key=merit)[:_MOST_JOINED]
        for move in joined_beyond_vents(network, one.name, one.sequence, one.run, given_start=given)
    ]
    return in_turn(shot, moves)


def moves_round(shot: Shot, network: FlowNetwork, best: Candidate | None) -> list[Named]:
    """Small changes of the best so far: other triggers with its start, one more line at the start."""
    if best is None:
        return []
    part, start = shot.part, best.sequence.start_labels()
    out = [on_reach_from(part, start, f"outward on reach from {', '.join(start)}")]
    out += [bay_by_bay_from(part, start, f"outward bay by bay from {', '.join(start)}")]
    out += [
        bay_by_bay_from(part, (*start, *labels), f"outward bay by bay from {', '.join(start)} and {name}")
        for name, labels in line_groups(part).items()
        if not set(labels) & set(start)
    ]
    ordered = longest_first(network, best.sequence, best.run)
    return in_turn(shot, [Named(name=f"{best.name}, longest way first", sequence=ordered), *out])


def in_turn(shot: Shot, named: list[Named]) -> list[Named]:
    """The same, each with its steps listed in turn."""
    return [Named(name=one.name, sequence=listed_in_turn(shot, one.sequence)) for one in named]


def listed_in_turn(shot: Shot, sequence: Sequence) -> Sequence:
    """Taps that are called for together in the given order, vents on lines before their lines."""
    return vents_before_feeds(shot.part, listed_in_order(sequence, shot.rules.order))
