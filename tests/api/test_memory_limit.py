"""The limit of memory of an attempt or a reader."""

from __future__ import annotations

import resource

import pytest

from api.jobs.limits import limit_memory


def test_a_limit_that_imports_alone_fill_is_told_and_not_set() -> None:
    """With it nothing could be opened any more, not even the store that is to be told why."""
    before = resource.getrlimit(resource.RLIMIT_AS)
    with pytest.raises(MemoryError, match="takes most of 100 MB"):
        limit_memory(100)
    assert resource.getrlimit(resource.RLIMIT_AS) == before
