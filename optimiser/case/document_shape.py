"""What every shape of a document shares: no unknown fields, numbers are numbers, names can be printed."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, Strict

LABEL_MOST_CHARACTERS = 12
_MOST_EXACT = 2**53
"""Beyond it a float no longer tells whole numbers apart (IEEE 754)."""


class DocumentShape(BaseModel):
    """Base of all shapes a user writes. The text under each field is its description in the JSON Schema."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, use_attribute_docstrings=True)


def came_later() -> Any:
    """Default of a field that came after documents had been stored: unsaid where it is null, so digests stay."""
    return Field(default=None, exclude_if=lambda value: value is None)


def printable(text: str) -> str:
    """A name must print in any font and look on paper as it does on the screen."""
    if text != text.strip() or not text.isprintable() or not all(ord(letter) < 256 for letter in text):
        raise ValueError("letters, digits and marks of a western keyboard, no blank at either end")
    return text


def _no_share_for_percent(percent: float) -> float:
    if 0 < percent < 1:
        raise ValueError("0, or a percentage from 1 upwards (write 25, not 0.25)")
    return percent


def _no_truth_value(value: object) -> object:
    """Else true would pass for 1."""
    if isinstance(value, bool):
        raise ValueError("the number 1")
    return value


def _without_noughts(value: object) -> object:
    """Any other number is told as it was found."""
    return int(value) if isinstance(value, float) and value.is_integer() and abs(value) < _MOST_EXACT else value


Number = Annotated[float, Strict()]
Whole = Annotated[int, Strict()]
LIKE_2_0 = BeforeValidator(_without_noughts)
"""Beside the range of a whole number, as its last part: 2.0 is one, as in JSON Schema (Validation 2020-12, 6.1.1), for
programs that know no whole numbers."""
SchemaVersion = Annotated[Literal[1], BeforeValidator(_no_truth_value)]
Name = Annotated[str, Field(min_length=1, max_length=60), AfterValidator(printable)]
Sentence = Annotated[str, Field(min_length=1, max_length=200), AfterValidator(printable)]
Label = Annotated[str, Field(min_length=1, max_length=LABEL_MOST_CHARACTERS), AfterValidator(printable)]
Angle = Annotated[Number, Field(ge=-360, le=360)]
Bore = Annotated[Number, Field(ge=3, le=100)]
HoseLength = Annotated[Number, Field(ge=20, le=50_000)]
FibreVolumePercent = Annotated[Number, Field(ge=5, le=80)]
ThroughPermeability = Annotated[Number, Field(ge=1e-17, le=1e-8)]
InPlanePermeability = Annotated[Number, Field(ge=1e-15, le=1e-7)]
WholePercent = Annotated[Number, Field(ge=0, le=100), AfterValidator(_no_share_for_percent)]
"""A percentage in which a number below one is most likely a share written by mistake."""
PartOfRun = Annotated[Number, Field(ge=1, le=100)]
"""In percent of its length: of nothing no step can wait."""
SpreadPercent = Annotated[Number, Field(ge=0, le=90), AfterValidator(_no_share_for_percent)]
PatchyPercent = Annotated[Number, Field(ge=0, le=60), AfterValidator(_no_share_for_percent)]
Coordinate = Annotated[Number, Field(ge=-200_000, le=200_000)]
Height = Annotated[Number, Field(ge=-30_000, le=30_000)]
PointOnSheet = tuple[Coordinate, Coordinate]
PointInSpace = tuple[Coordinate, Coordinate, Height]
RunPoint = Annotated[tuple[Coordinate, ...], Field(min_length=2, max_length=3)]
