"""Feeding that cannot fill the part in time, as a slip of a digit makes it: hoses too thin or long, a cap too low."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.printed_minutes import minutes_down, minutes_up
from optimiser.network.flow_network import FlowNetwork
from optimiser.network.line_layout import LineLayout
from optimiser.part.part import FeedLine, LineUse
from optimiser.part.shot import Shot
from optimiser.physics.closed_form import constant_flow_fill_time_s
from optimiser.physics.pipe_flow import in_series_m3, pressure_share_behind, tube_conductance_m3
from optimiser.plan.resin_clock import clock_of_shot
from optimiser.plan.scenes import viscosity_of
from optimiser.units import kg_min_from_m3_s, mm_from_m

_LEAST_SHARE = 0.5
"""Of the pressure that drives the part, at the line's end of its hoses, once its bays are wet to their full width."""
_MOST_NAMES, _SLACK_M = 5, 0.1


def feed_warnings(shot: Shot, network: FlowNetwork, layouts: tuple[LineLayout, ...]) -> Iterator[str]:
    yield from _strangled(shot, layouts)
    yield from _low_cap(shot, network)
    yield from _too_short(shot, network)


def _strangled(shot: Shot, layouts: tuple[LineLayout, ...]) -> Iterator[str]:
    """In a sentence for the worst line, with the names of the others."""
    fed = [
        (_share(shot, line, layout), line)
        for line, layout in zip(shot.part.feed_lines, layouts, strict=True)
        if line.use is not LineUse.FORBIDDEN
    ]
    thin = sorted((one for one in fed if one[0] < _LEAST_SHARE), key=lambda one: one[0])
    if not thin:
        return
    (share, worst), *others = thin
    driving_pa = shot.supply.most_pressure_pa - shot.process.vacuum_pa
    most_m3_s = driving_pa * _hoses_m3(shot, worst) / viscosity_of(shot)
    more = f" and {len(others) - _MOST_NAMES} more" if len(others) > _MOST_NAMES else ""
    names = ", ".join(line.label for _, line in others[:_MOST_NAMES]) + more
    yield (
        f"the hose of {worst.label}, {mm_from_m(worst.hose_length_m):.0f} mm of {mm_from_m(worst.hose_bore_m):g} mm "
        f"bore,{'' if shot.supply.hose_conductance_m3 is None else ' and the supply hose'} leaves its line "
        f"{100 * share:.2g} % of the pressure once its bays are wet, and lets through at most "
        f"{kg_min_from_m3_s(most_m3_s, shot.resin.density_kg_m3):.2g} kg/min: are bore and length as laid?"
        + (f" Less than {_LEAST_SHARE:.0%} too: {names}" if names else "")
    )


def _share(shot: Shot, line: FeedLine, layout: LineLayout) -> float:
    """Of the pressure, behind the hoses, this line alone open."""
    return pressure_share_behind(feed_m3=_hoses_m3(shot, line), drawn_m3=layout.bays_m3)


def _hoses_m3(shot: Shot, line: FeedLine) -> float:
    """Conductance of its own hose, behind the supply hose where there is one."""
    own_m3 = tube_conductance_m3(bore_m=line.hose_bore_m, length_m=line.hose_length_m)
    shared_m3 = shot.supply.hose_conductance_m3
    return own_m3 if shared_m3 is None else in_series_m3((shared_m3, own_m3))


def _too_short(shot: Shot, network: FlowNetwork) -> Iterator[str]:
    """The manifold stands at the supply where no hose leads to it."""
    if shot.supply.hose_conductance_m3 is not None:
        return
    height_m = network.height_m
    for line, gauges in zip(shot.part.feed_lines, network.line_gauges, strict=True):
        rise_m = abs(float(height_m[gauges[0]]) - shot.supply.height_m)
        if line.use is not LineUse.FORBIDDEN and rise_m > line.hose_length_m + _SLACK_M:
            yield (
                f"the hose of {line.label}, {mm_from_m(line.hose_length_m):.0f} mm, is shorter than the "
                f"{mm_from_m(rise_m):.0f} mm between the height of its inlet and that of the supply: is a supply_hose "
                "left out, or are the two measured from different heights?"
            )
            return


def _low_cap(shot: Shot, network: FlowNetwork) -> Iterator[str]:
    cap_m3_s, density = shot.supply.most_flow_m3_s, shot.resin.density_kg_m3
    if cap_m3_s is None:
        return
    held_m3, limit_s = float(network.volume_m3[: network.sheet_count].sum()), _limit_s(shot)
    alone_s = constant_flow_fill_time_s(pore_volume_m3=held_m3, flow_m3_s=cap_m3_s)
    if alone_s > limit_s:
        needed = f": it takes {kg_min_from_m3_s(held_m3 / limit_s, density):.2g} kg/min" if limit_s > 0 else ""
        yield (
            f"at the flow cap of {kg_min_from_m3_s(cap_m3_s, density):.3g} kg/min the {held_m3 * density:.1f} kg of "
            f"resin in the part take {minutes_up(alone_s)} min, and the gel limit is minute "
            f"{minutes_down(limit_s)}{needed}"
        )


def _limit_s(shot: Shot) -> float:
    return clock_of_shot(shot).limit_s(shot.process.gel_fraction)
