"""JSON pointers (RFC 6901): naming a place in a document."""

from __future__ import annotations

from collections.abc import Iterable


def token(key: object) -> str:
    return str(key).replace("~", "~0").replace("/", "~1")


def pointer(*keys: object) -> str:
    """The pointer to the place reached through these keys, '' for the whole document."""
    return "".join(f"/{token(key)}" for key in keys)


def keys_of(text: str) -> Iterable[str]:
    """The keys of a pointer, unescaped."""
    return (key.replace("~1", "/").replace("~0", "~") for key in text.split("/")[1:])
