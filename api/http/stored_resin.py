"""Which of the store's resins is meant: fields of a request that say nothing without its `resin_id`."""

from __future__ import annotations

from typing import Annotated, TypeVar

from pydantic import AfterValidator, Field, ValidationInfo

from api.http.identifiers import NamedRevision

T = TypeVar("T")


def _beside_a_resin(value: T, info: ValidationInfo) -> T:
    """ValueError where `resin_id`, which stands before in the document, is left out; its own faults are told of it."""
    if value is not None and info.data.get("resin_id", "") is None:
        raise ValueError("nothing here without a resin_id: it belongs to a resin of the store")
    return value


RevisionOfResin = Annotated[NamedRevision | None, AfterValidator(_beside_a_resin)]
BatchOfResin = Annotated[
    Annotated[str, Field(min_length=1, max_length=200)] | None, AfterValidator(_beside_a_resin)
]
