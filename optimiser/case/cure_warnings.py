"""A law of cure held against the gel times: two statements of when one resin gels."""

from __future__ import annotations

from collections.abc import Iterator
from warnings import catch_warnings, simplefilter

from optimiser.case.build_shot import resin_of
from optimiser.case.data_sheet_laws import gel_time_s
from optimiser.case.resin_document import ResinDocument
from optimiser.errors import OutOfRangeError
from optimiser.part.resin import CureLaw
from optimiser.physics.cure_kinetics import kamal_time_s
from optimiser.units import k_from_c, min_from_s

_MOST_TIMES = 1.5
"""Our choice: gel tests of one batch agree better."""


def cure_warnings(resin: ResinDocument, temperature_c: float) -> Iterator[str]:
    """At one temperature, with the initiator that the law was fitted to."""
    cure, law = resin.cure_law, resin_of(resin).thickening
    if cure is None or not isinstance(law, CureLaw):
        return
    try:
        tested_s = gel_time_s(resin.gel_time_points, temperature_c, cure.initiator_percent)
    except OutOfRangeError:
        return
    by_law_s = _gels_by_law_s(law, temperature_c)
    if not tested_s / _MOST_TIMES <= by_law_s <= tested_s * _MOST_TIMES:
        yield (
            f"cure_law has the resin at gel after {min_from_s(by_law_s):.3g} min at {temperature_c:g} degrees C and "
            f"{cure.initiator_percent:g} %, the gel times say {min_from_s(tested_s):.3g} min: the limit goes by the "
            "gel times, the viscosity by the law; one of them is of another resin or in another unit"
        )


def _gels_by_law_s(law: CureLaw, temperature_c: float) -> float:
    with catch_warnings():
        simplefilter("ignore")  # a law so far off that its integral is hard to take is told all the same
        return kamal_time_s(
            cured_share=min(law.gel_share, 0.999),
            temperature_k=k_from_c(temperature_c),
            **law.rate_constants,
        )
