"""A YAML or JSON document as the body of a request; what it says is for its reader."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Depends, Request

from api.http.problem import Problem
from api.http.problem_kinds import WRONG_MEDIA_TYPE

_MEDIA_TYPES = ("application/json", "application/yaml")


async def _text_body(request: Request) -> bytes:
    sent = request.headers.get("content-type", "")
    media_type = sent.partition(";")[0].strip().lower()
    if media_type not in _MEDIA_TYPES:
        found = f"The body was sent as '{media_type}'" if media_type else "The body came without Content-Type"
        raise Problem(
            WRONG_MEDIA_TYPE,
            f"{found}; send application/json or application/yaml.",
            headers={"Accept-Post": ", ".join(_MEDIA_TYPES)},
        )
    if request.headers.get("content-encoding", "identity").lower() != "identity":
        raise Problem(WRONG_MEDIA_TYPE, "The body is compressed; send it as it is.")
    return await request.body()


TextBody = Annotated[bytes, Depends(_text_body)]


def text_body(schema_name: str, description: str) -> dict[str, Any]:
    """What the OpenAPI page says about such a body; `openapi_page` has its schema."""
    schema = {"$ref": f"#/components/schemas/{schema_name}"}
    content = {name: {"schema": schema} for name in _MEDIA_TYPES}
    return {"requestBody": {"required": True, "description": description, "content": content}}
