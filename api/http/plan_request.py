"""What a client asks to be planned or checked."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import ConfigDict, Field

from api.http.document import Request
from api.http.identifiers import NamedLayout, NamedResin, NamedRevision
from api.http.stored_resin import BatchOfResin, RevisionOfResin
from api.jobs.compose import Ingredients

_CHANGES: dict[str, Any] = {"process": {"mould_temperature_c": 24, "resin_temperature_c": 23}, "crew": {"hands": 2}}
_LAYOUT_ID = f"layout_{'0123456789abcdef' * 2}"


class PlanRequest(Request):
    """What is to be planned."""

    model_config = ConfigDict(
        json_schema_extra={"examples": [{"layout_id": _LAYOUT_ID, "changes": _CHANGES}]},
    )

    layout_id: NamedLayout
    """The layout to plan."""
    layout_revision: NamedRevision | None = None
    """Revision of the layout. Left out: the newest."""
    resin_id: NamedResin | None = None
    """A resin of the store. Left out: the resin that stands in the layout."""
    resin_revision: RevisionOfResin = None
    """Revision of that resin. Left out: the newest."""
    batch: BatchOfResin = None
    """A batch of that resin; its newest tests are used. Left out: the data sheet as it stands."""
    changes: Annotated[dict[str, Any], Field(default_factory=dict)]
    """A merge patch (RFC 7396) over the blocks supply, process, crew, rules, search and resin of the case; of a
    resin of the store only `initiator.level_percent`."""

    def ingredients(self) -> Ingredients:
        return Ingredients(
            layout_id=self.layout_id,
            layout_revision=self.layout_revision,
            resin_id=self.resin_id,
            resin_revision=self.resin_revision,
            batch=self.batch,
            changes=self.changes,
        )


class CheckRequest(PlanRequest):
    """What is to be played as it stands."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "layout_id": _LAYOUT_ID,
                    "sequence": {"steps": [{"action": "open", "label": "2", "when": {"start": True}}]},
                }
            ]
        }
    )

    sequence: dict[str, Any]
    """A sequence (GET /v1/schema/sequence describes it), or a whole plan.json, to be played as it stands."""
