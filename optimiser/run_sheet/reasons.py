"""Why a plan may not be used: unmet requirements and locked regions, in sentences."""

from __future__ import annotations

from dataclasses import dataclass

from optimiser.case.plan_document import LockedRegion, PlanDocument
from optimiser.run_sheet.wording import is_short, minutes, sentence


@dataclass(frozen=True, kw_only=True)
class ReasonText:
    """One reason, ready to print."""

    requirement: str
    where: str
    by_how_much: str
    remedy: str


def reason_texts(plan: PlanDocument) -> list[ReasonText]:
    """The plan's own reasons; never empty, so that no page stands without one."""
    stated = [
        ReasonText(requirement=sentence(r.requirement), where=r.where, by_how_much=r.by_how_much, remedy=r.remedy)
        for r in plan.reasons
    ]
    return stated or [
        ReasonText(
            requirement="The plan is not verified",
            where="no reason is stated",
            by_how_much="not known",
            remedy="plan the shot again and read its answer",
        )
    ]


def locked_texts(plan: PlanDocument) -> list[str]:
    """One line for each locked region, the ones that fail first."""
    short = is_short(plan.wet_out_s)
    return [_locked(region, short=short) for region in sorted(plan.locked, key=lambda r: not r.fails)]


def _locked(region: LockedRegion, *, short: bool) -> str:
    weight = "FAILS" if region.fails else "below the area that matters here, listed only"
    closed_by = " and ".join(region.closed_by) or "not known"
    return (
        f"Air locked near {region.near} at min {minutes(region.at_s, short=short)}: "
        f"{litres(region.pore_litres)} over {region.area_cm2:.0f} cm², closed by {closed_by} ({weight})."
    )


def litres(volume_litres: float) -> str:
    return f"{volume_litres:.1f} l" if volume_litres >= 1 else f"{volume_litres:.2g} l"
