"""Values that can be, and are more often a slip or a risk: what a second look is asked for."""

from __future__ import annotations

from collections.abc import Iterator

from optimiser.case.build_laminate import contents_used
from optimiser.case.build_ply import ratio_to_test
from optimiser.case.case_document import CaseDocument
from optimiser.case.laminate_document import MeasuredPermeability
from optimiser.case.pointer import pointer

_STYRENE_BOILS_MBAR = 7.0
"""At 20 degrees C, from memory; higher when warmer."""
_MOST_TIMES = 3.0
"""The law that scales a test to another fibre volume content is no better than its nearest test (Kozeny-Carman, which
real fabrics follow over a few percent of fibre volume). Common practice, no source."""


def second_looks(document: CaseDocument) -> Iterator[str]:
    yield from _deep_vacuum(document)
    yield from _far_from_the_test(document)


def _deep_vacuum(document: CaseDocument) -> Iterator[str]:
    vacuum_mbar = document.process.vacuum_mbar_abs
    if vacuum_mbar < _STYRENE_BOILS_MBAR:
        yield (
            f"/process/vacuum_mbar_abs of {vacuum_mbar:g} mbar: styrene boils under about {_STYRENE_BOILS_MBAR:g} mbar "
            "at 20 °C (from memory), and its bubbles stay in the laminate; the data sheet says how deep is too deep"
        )


def _far_from_the_test(document: CaseDocument) -> Iterator[str]:
    """Once for each cloth, at the content that is furthest off."""
    worst: dict[str, tuple[float, float, float]] = {}
    for name, percent in contents_used(document):
        permeability = document.reinforcements[name].permeability
        if isinstance(permeability, MeasuredPermeability):
            ratio = ratio_to_test(permeability, fibre_volume_percent=percent)
            tested_percent = permeability.measured.at_fibre_volume_percent
            row = (max(ratio, 1.0 / ratio), percent, tested_percent)
            worst[name] = max(worst.get(name, row), row)
    for name, (times, percent, tested_percent) in worst.items():
        if times > _MOST_TIMES:
            path = pointer("reinforcements", name, "permeability", "measured")
            less = "less" if percent > tested_percent else "more"
            yield (
                f"{path} was tested at {tested_percent:g} % fibre volume and is used at {percent:g} %: {times:.1f} "
                f"times {less} by the law alone, and flow times go with it; test it at this content"
            )
