"""Identifiers as they stand in addresses, queries and bodies."""

from __future__ import annotations

import re
from typing import Annotated

from fastapi import Path
from pydantic import BeforeValidator, Field, Strict

_LAYOUT, _RESIN = r"^layout_[0-9a-f]{32}$", r"^resin_[0-9a-f]{32}$"
_LARGEST_REVISION = 2_000_000_000
_NUMBER = re.compile(r"[1-9][0-9]*", re.ASCII)


def _as_links_write_it(number: str) -> str:
    """ValueError for another spelling, such as +1 or 01: one thing has one address."""
    if not _NUMBER.fullmatch(number):
        raise ValueError("a number from 1, in digits alone")
    return number


JobId = Annotated[str, Path(pattern=r"^job_[0-9a-f]{32}$", description="Id of a job.")]
PlanId = Annotated[str, Path(pattern=r"^plan_[0-9a-f]{24}$", description="Id of a plan.")]
LayoutId = Annotated[str, Path(pattern=_LAYOUT, description="Id of a layout.")]
ResinId = Annotated[str, Path(pattern=_RESIN, description="Id of a resin.")]
RevalidationId = Annotated[str, Path(pattern=r"^revalidation_[0-9a-f]{24}$", description="Id of a revalidation.")]
WebhookId = Annotated[str, Path(pattern=r"^webhook_[0-9a-f]{24}$", description="Id of a webhook.")]
KeyId = Annotated[str, Path(pattern=r"^[0-9a-f]{16}$", description="Id of a key: its public part.")]
RevisionNumber = Annotated[
    int,
    Path(ge=1, le=_LARGEST_REVISION, description="Number of the revision, from 1."),
    BeforeValidator(_as_links_write_it),
]

NamedLayout = Annotated[str, Field(pattern=_LAYOUT)]
NamedResin = Annotated[str, Field(pattern=_RESIN)]
NamedRevision = Annotated[int, Strict(), Field(ge=1, le=_LARGEST_REVISION)]
