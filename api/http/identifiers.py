"""Identifiers as they stand in addresses, queries and bodies."""

from __future__ import annotations

from typing import Annotated

from fastapi import Path
from pydantic import Field, Strict

_LAYOUT, _RESIN = r"^layout_[0-9a-f]{32}$", r"^resin_[0-9a-f]{32}$"
_LARGEST_REVISION = 2_000_000_000

JobId = Annotated[str, Path(pattern=r"^job_[0-9a-f]{32}$", description="Id of a job.")]
PlanId = Annotated[str, Path(pattern=r"^plan_[0-9a-f]{24}$", description="Id of a plan.")]
LayoutId = Annotated[str, Path(pattern=_LAYOUT, description="Id of a layout.")]
ResinId = Annotated[str, Path(pattern=_RESIN, description="Id of a resin.")]
RevalidationId = Annotated[str, Path(pattern=r"^revalidation_[0-9a-f]{24}$", description="Id of a revalidation.")]
WebhookId = Annotated[str, Path(pattern=r"^webhook_[0-9a-f]{24}$", description="Id of a webhook.")]
KeyId = Annotated[str, Path(pattern=r"^[0-9a-f]{16}$", description="Id of a key: its public part.")]
RevisionNumber = Annotated[int, Path(ge=1, le=_LARGEST_REVISION, description="Number of the revision, from 1.")]

NamedLayout = Annotated[str, Field(pattern=_LAYOUT)]
NamedResin = Annotated[str, Field(pattern=_RESIN)]
NamedRevision = Annotated[int, Strict(), Field(ge=1, le=_LARGEST_REVISION)]
