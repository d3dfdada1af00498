"""What is different now: another resin or batch, a gel test, the morning's temperatures and pressures."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any, Self

from pydantic import model_validator

from optimiser.case.document_shape import DocumentShape
from optimiser.case.plain_data import refuse_odd_values
from optimiser.case.pointer import pointer
from optimiser.case.process_document import AmbientPressure, GelFractionPercent, ShopTemperature, VacuumPressure
from optimiser.case.read_resin import resin_of_block
from optimiser.case.resin_document import LEAST_GEL_MIN, MOST_GEL_MIN, InitiatorPercent, ResinDocument
from optimiser.case.scale_resin import GelTestDocument, doubt, gel_time_ratio, scaled_gel_points, scaled_thickening
from optimiser.case.shape_faults import validated
from optimiser.errors import Fault, InputError, OutOfRangeError

_OF_PROCESS = (
    "mould_temperature_c",
    "resin_temperature_c",
    "ambient_mbar_abs",
    "vacuum_mbar_abs",
    "gel_fraction_percent",
)
_MOVED_OVER_THE_SHOT = ("mould_temperature_c", "resin_temperature_c")


class ChangeDocument(DocumentShape):
    """What is left out stays as the case has it."""

    resin: ResinDocument | None = None
    """Takes the place of the case's resin."""
    gel_test: GelTestDocument | None = None
    """All gel times are scaled so that they pass through it."""
    initiator_level_percent: InitiatorPercent | None = None
    mould_temperature_c: ShopTemperature | None = None
    resin_temperature_c: ShopTemperature | None = None
    ambient_mbar_abs: AmbientPressure | None = None
    vacuum_mbar_abs: VacuumPressure | None = None
    gel_fraction_percent: GelFractionPercent | None = None

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if all(getattr(self, field) is None for field in type(self).model_fields):
            raise ValueError(f"at least one of {', '.join(type(self).model_fields)}")
        return self


def read_change(data: object) -> ChangeDocument:
    """The change in plain data; InputError with every fault found."""
    refuse_odd_values(data)
    change = validated(ChangeDocument, data)
    if change.resin is not None:
        changed_resin(change.resin, change)
    return change


def changed_resin(resin: ResinDocument, change: ChangeDocument) -> ResinDocument:
    """The resin after the change. InputError for a gel test or a level that the resin's data do not reach."""
    if change.resin is not None:
        resin = change.resin
    block = resin.model_dump(mode="json")
    if change.gel_test is not None:
        ratio = _ratio_of_test(resin, change.gel_test)
        block["gel_time_points"] = scaled_gel_points(resin.gel_time_points, ratio)
        _within_limits(block["gel_time_points"], change.gel_test)
        block |= scaled_thickening(resin, gel_ratio=ratio)
        block["taken_from"] = {
            **(block.get("taken_from") or {}),
            "gel_times": _of_test(change.gel_test),
            "doubt": doubt(ratio),
        }
    if change.initiator_level_percent is not None:
        block["initiator"]["level_percent"] = change.initiator_level_percent
    return resin_of_block(block)


def changed_case(case_data: Mapping[str, Any], change: ChangeDocument) -> dict[str, Any]:
    """Plain data of the case after the change; neither argument is touched. InputError as `changed_resin`.

    The case that comes of it is yet to be read, and may then turn out to lie beyond the resin's data.
    """
    data = dict(case_data)
    if change.resin is not None or change.gel_test is not None or change.initiator_level_percent is not None:
        before = change.resin or resin_of_block(case_data.get("resin"))
        data["resin"] = changed_resin(before, change).model_dump(mode="json")
    process = data.get("process")
    if isinstance(process, Mapping):
        fresh = {field: value for field in _OF_PROCESS if (value := getattr(change, field)) is not None}
        data["process"] = {**process, **_moved_temperatures(process, fresh), **fresh}
    return data


def _moved_temperatures(process: Mapping[str, Any], fresh: Mapping[str, float]) -> dict[str, Any]:
    """Temperatures over the shot move with that of the first tap, as much warmer or colder at every moment."""
    rows = process.get("temperatures")
    moved = {field: fresh[field] - process[field] for field in _MOVED_OVER_THE_SHOT if field in fresh}
    if not rows or not moved:
        return {}
    first = {field: fresh[field] for field in moved}
    later = ({field: row[field] + by_k for field, by_k in moved.items()} for row in rows[1:])
    return {"temperatures": [{**row, **new} for row, new in zip(rows, [first, *later], strict=True)]}


def change_words(change: ChangeDocument) -> list[str]:
    """A short sentence for each thing that is different."""
    return list(_sentences(change))


def _sentences(change: ChangeDocument) -> Iterator[str]:
    if change.resin is not None:
        yield f"the resin is {change.resin.name}, batch {change.resin.batch}"
    if change.gel_test is not None:
        yield _of_test(change.gel_test)
    if change.initiator_level_percent is not None:
        yield f"the initiator level is {change.initiator_level_percent:g} %"
    if change.mould_temperature_c is not None:
        yield f"the mould is at {change.mould_temperature_c:g} degrees C"
    if change.resin_temperature_c is not None:
        yield f"the resin is at {change.resin_temperature_c:g} degrees C"
    if change.ambient_mbar_abs is not None:
        yield f"ambient is {change.ambient_mbar_abs:g} mbar absolute"
    if change.vacuum_mbar_abs is not None:
        yield f"the vacuum under the bag is {change.vacuum_mbar_abs:g} mbar absolute"
    if change.gel_fraction_percent is not None:
        yield f"wet-out may take {change.gel_fraction_percent:g} % of the gel time"


def _of_test(test: GelTestDocument) -> str:
    return (
        f"gel times are scaled through a test of {test.gel_time_min:g} min at {test.temperature_c:g} degrees C "
        f"with {test.initiator_percent:g} % initiator (common practice, no source)"
    )


def _within_limits(scaled: list[dict[str, float]], test: GelTestDocument) -> None:
    """InputError, naming the test, where the points moved through it leave the limits of a resin."""
    soonest, latest = (choose(scaled, key=lambda point: point["gel_time_min"]) for choose in (min, max))
    if soonest["gel_time_min"] >= LEAST_GEL_MIN and latest["gel_time_min"] <= MOST_GEL_MIN:
        return
    worst = soonest if soonest["gel_time_min"] < LEAST_GEL_MIN else latest
    least_min = test.gel_time_min * LEAST_GEL_MIN / soonest["gel_time_min"]
    most_min = test.gel_time_min * MOST_GEL_MIN / latest["gel_time_min"]
    fault = Fault(
        path=pointer("gel_test", "gel_time_min"),
        found=f"{test.gel_time_min:g} min, which moves the gel time at {worst['temperature_c']:g} degrees C with "
        f"{worst['initiator_percent']:g} % to {worst['gel_time_min']:.3g} min",
        expected=f"a test that leaves every gel time of the resin between {LEAST_GEL_MIN:g} and {MOST_GEL_MIN:g} min, "
        f"so one from {math.ceil(100 * least_min) / 100:g} to {math.floor(most_min)} min",
        remedy="check the unit and what the test was made with",
    )
    raise InputError([fault])


def _ratio_of_test(resin: ResinDocument, test: GelTestDocument) -> float:
    try:
        return gel_time_ratio(resin.gel_time_points, test)
    except OutOfRangeError as error:
        fault = Fault(
            path=pointer("gel_test"),
            found=f"a test at {test.temperature_c:g} degrees C with {test.initiator_percent:g} % initiator",
            expected=f"a test within the data of the resin: {error}",
        )
        raise InputError([fault]) from error
