"""A law of cure held against the gel times: two statements of when one resin gels."""

from __future__ import annotations

from collections.abc import Iterator
from warnings import catch_warnings, simplefilter

from optimiser.case.build_shot import resin_of
from optimiser.case.data_sheet_laws import gel_time_s
from optimiser.case.pointer import pointer
from optimiser.case.resin_document import ResinDocument
from optimiser.errors import Fault, OutOfRangeError
from optimiser.part.resin import CureLaw
from optimiser.physics.cure_kinetics import kamal_time_s
from optimiser.units import k_from_c, min_from_s

_MOST_TIMES = 1.5
"""Our choice: gel tests of one batch agree better."""


def cure_faults(resin: ResinDocument, temperature_c: float, gel_fraction: float) -> Iterator[Fault]:
    """Resin that has gelled by its own law before the gel limit cannot be judged by that limit."""
    times_s = _law_and_test_s(resin, temperature_c)
    if times_s is not None and times_s[0] < gel_fraction * times_s[1]:
        by_law_s, tested_s = times_s
        yield Fault(
            path=pointer("resin", "cure_law"),
            found=f"a law by which the resin gels after {min_from_s(by_law_s):.3g} min at {temperature_c:g} degrees C",
            expected=f"no sooner than {gel_fraction:.0%} of the gel time there, {min_from_s(tested_s):.3g} min, which "
            "the limit counts with",
            remedy="look at the units of the fit (factors per second, energies in kJ/mol), or at the gel times: one of "
            "them is of another resin",
        )


def cure_warnings(resin: ResinDocument, temperature_c: float) -> Iterator[str]:
    """At one temperature, with the initiator that the law was fitted to."""
    cure, times_s = resin.cure_law, _law_and_test_s(resin, temperature_c)
    if cure is None or times_s is None:
        return
    by_law_s, tested_s = times_s
    if not tested_s / _MOST_TIMES <= by_law_s <= tested_s * _MOST_TIMES:
        yield (
            f"cure_law has the resin at gel after {min_from_s(by_law_s):.3g} min at {temperature_c:g} degrees C and "
            f"{cure.initiator_percent:g} %, the gel times say {min_from_s(tested_s):.3g} min: the limit goes by the "
            "gel times, the viscosity by the law; one of them is of another resin or in another unit"
        )


def _law_and_test_s(resin: ResinDocument, temperature_c: float) -> tuple[float, float] | None:
    """When the resin gels by its law of cure and by its gel times; None: one of them says nothing here."""
    cure, law = resin.cure_law, resin_of(resin).thickening
    if cure is None or not isinstance(law, CureLaw):
        return None
    try:
        tested_s = gel_time_s(resin.gel_time_points, temperature_c, cure.initiator_percent)
    except OutOfRangeError:
        return None
    return _gels_by_law_s(law, temperature_c), tested_s


def _gels_by_law_s(law: CureLaw, temperature_c: float) -> float:
    with catch_warnings():
        simplefilter("ignore")  # a law so far off that its integral is hard to take is told all the same
        return kamal_time_s(
            cured_share=min(law.gel_share, 0.999),
            temperature_k=k_from_c(temperature_c),
            **law.rate_constants,
        )
