"""JSON merge patch (RFC 7396) over plain data: null takes a key away, mappings merge, all else is replaced."""

from __future__ import annotations

from collections.abc import Mapping


def merge_patch(target: object, patch: object) -> object:
    """The target with the patch applied, as new data; neither argument is changed.

    The function MergePatch of RFC 7396, section 2, word for word.
    """
    if not isinstance(patch, Mapping):
        return patch
    merged = dict(target) if isinstance(target, Mapping) else {}
    for key, value in patch.items():
        if value is None:
            merged.pop(key, None)
        else:
            merged[key] = merge_patch(merged.get(key), value)
    return merged
