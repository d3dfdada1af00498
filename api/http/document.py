"""What all documents of this service share."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict, Field, GetJsonSchemaHandler
from pydantic_core import CoreSchema


class Document(BaseModel):
    """An answer. Descriptions in the OpenAPI page come from the lines under the fields.

    A field without a value is left out of the answer, so the page does not say that it may be null.
    """

    model_config = ConfigDict(use_attribute_docstrings=True)

    @classmethod
    def __get_pydantic_json_schema__(cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        schema = handler(core_schema)
        whole = handler.resolve_ref_schema(schema)
        for name, field in whole.get("properties", {}).items():
            if name not in whole.get("required", ()):
                leave_out_null(field)
        return schema


class Request(BaseModel):
    """A document that a client sends: what is not in it is refused rather than overlooked."""

    model_config = ConfigDict(use_attribute_docstrings=True, extra="forbid", allow_inf_nan=False)


class Page(Document):
    """One page of a list, newest first."""

    next_cursor: str | None = Field(default=None, examples=["WyIyMDI2LTAzLTAyIl0"])
    """To be sent as `cursor` for the next page; absent on the last."""
    next: str | None = Field(default=None, examples=["/v1/jobs?cursor=WyIyMDI2LTAzLTAyIl0"])
    """Address of the next page; absent on the last."""


def leave_out_null(field: dict[str, Any]) -> None:
    """From the schema of something that is absent rather than null; changed in place."""
    choices = [choice for choice in field.get("anyOf", ()) if choice != {"type": "null"}]
    if len(choices) == 1:
        del field["anyOf"]
        field.pop("default", None)
        field.update(choices[0])
