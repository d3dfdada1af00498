"""How much resin goes where."""

from __future__ import annotations

import math

from optimiser.case.amounts_document import ResinQuantities
from optimiser.network.flow_network import FlowNetwork
from optimiser.part.laminate import LayerKind
from optimiser.part.shot import Shot
from optimiser.physics.resin_volumes import layer_resin_m3, reserve_kg, resin_to_mix_kg
from optimiser.plan.gel_judgement import before_zero_m3

_LEAST_MIX_SHARE = 0.25
"""Of a full mix, our choice: initiator for less is hard to weigh on the scale of a full pot, and too little or too much
of it is a part that stays soft or a pot that burns."""


def resin_quantities(
    shot: Shot,
    network: FlowNetwork,
    drawn_into_vents_m3: float,
    in_catch_pots_m3: float = 0.0,
    swollen_m3: float = 0.0,
    bleeds: int = 0,
) -> ResinQuantities:
    """Pore volume of the layers, inner volume of lines and hoses, what the vents draw, and the stated reserve.

    swollen_m3: what the part takes beyond its dry pores, where the bag gives. bleeds: how often the manifold is let out
    into a flush pot before a tap is opened.
    """
    density = shot.resin.density_kg_m3
    by_kind = dict.fromkeys(LayerKind, 0.0)
    for area, covered_m2 in zip(shot.part.areas, network.covered_m2, strict=True):
        for layer in area.laminate.layers:
            resin_m3 = layer_resin_m3(
                area_m2=float(covered_m2), thickness_m=layer.thickness_m, porosity=layer.porosity
            )
            by_kind[layer.kind] += resin_m3 * density
    lines = sum(float(network.volume_m3[line.nodes].sum()) for line in network.lines) * density
    hoses = float(network.volume_m3[[line.hose_node for line in network.lines]].sum())
    hoses = (hoses + float(network.volume_m3[network.manifold])) * density
    tracks = sum(float(network.volume_m3[nodes].sum()) for nodes in network.race_tracks) * density
    vents = drawn_into_vents_m3 * density
    swollen = swollen_m3 * density
    bled = bleeds * shot.supply.manifold_volume_m3 * density
    needed = sum(by_kind.values()) + lines + hoses + tracks + vents + swollen + bled
    share, mix_kg = shot.process.reserve_fraction, shot.supply.mix_kg
    total = resin_to_mix_kg(needed_kg=needed, reserve_fraction=share)
    fills_kg = 0.0 if mix_kg is None else fills_last_mix_kg(total, mix_kg)
    total += fills_kg
    return ResinQuantities(
        laminate_kg=by_kind[LayerKind.REINFORCEMENT],
        core_kg=by_kind[LayerKind.CORE],
        flow_mesh_kg=by_kind[LayerKind.FLOW_MESH],
        feed_lines_kg=lines,
        hoses_and_manifold_kg=hoses,
        race_tracks_kg=tracks,
        swollen_kg=None if network.give is None else swollen,
        drawn_into_vents_kg=vents,
        bled_kg=bled if bleeds else None,
        reserve_kg=reserve_kg(needed_kg=needed, reserve_fraction=share) + fills_kg,
        total_kg=total,
        initiator_kg=total * shot.resin.initiator_fraction,
        initiator_percent=100 * shot.resin.initiator_fraction,
        in_catch_pots_kg=in_catch_pots_m3 * density,
        drums=None if shot.process.drum_kg is None else math.ceil(total / shot.process.drum_kg),
        mixes=None if mix_kg is None else math.ceil(total / mix_kg),
    )


def for_the_part_m3(shot: Shot, resin: ResinQuantities) -> float:
    """What a run can draw: of all that is bought, some stands in hose and manifold or is in the flush pot."""
    total_m3 = (resin.total_kg - (resin.bled_kg or 0.0)) / shot.resin.density_kg_m3
    return total_m3 - before_zero_m3(shot)


def made_kg(number: int, *, total_kg: float, mix_kg: float) -> float:
    """What is weighed into a mix, counted from 1: a full one, or what is left of the total."""
    return min(mix_kg, max(0.0, total_kg - (number - 1) * mix_kg))


def fills_last_mix_kg(total_kg: float, mix_kg: float) -> float:
    """More resin than is needed, so that the last of several mixes is none of a few grams."""
    full = math.ceil(total_kg / mix_kg) - 1
    return max(0.0, (full + _LEAST_MIX_SHARE) * mix_kg - total_kg) if full > 0 else 0.0
