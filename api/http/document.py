"""What all documents of this service share."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Document(BaseModel):
    """Descriptions in the OpenAPI page come from the lines under the fields."""

    model_config = ConfigDict(use_attribute_docstrings=True)


class Request(BaseModel):
    """A document that a client sends: what is not in it is refused rather than overlooked."""

    model_config = ConfigDict(use_attribute_docstrings=True, extra="forbid", allow_inf_nan=False)


class Page(Document):
    """One page of a list, newest first."""

    next_cursor: str | None = None
    next: str | None = None
    """Address of the next page; absent on the last."""
