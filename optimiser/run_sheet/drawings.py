"""The drawings of one plan, each made once however many files show it."""

from __future__ import annotations

from functools import cached_property

from optimiser.case.plan_document import PlanDocument
from optimiser.run_sheet.thickness_map import has_thickness_map, thickness_map_png, thickness_map_svg
from optimiser.run_sheet.wet_out_map import wet_out_map_png, wet_out_map_svg


class Drawings:
    """Drawn when they are first asked for; thickness is None where the bag does not give."""

    def __init__(self, plan: PlanDocument) -> None:
        self._plan = plan

    @cached_property
    def wet_out_svg(self) -> str:
        return wet_out_map_svg(self._plan)

    @cached_property
    def wet_out_png(self) -> bytes:
        return wet_out_map_png(self._plan)

    @cached_property
    def thickness_svg(self) -> str | None:
        return thickness_map_svg(self._plan) if has_thickness_map(self._plan) else None

    @cached_property
    def thickness_png(self) -> bytes | None:
        return thickness_map_png(self._plan) if has_thickness_map(self._plan) else None
