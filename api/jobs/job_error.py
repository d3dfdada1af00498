"""Why a job failed, as it is kept in the store; the HTTP door turns it into a problem document."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from enum import StrEnum

from optimiser.errors import Fault


class JobErrorKind(StrEnum):
    INPUT = "input"
    """The case was read, but planning found that it cannot be used."""
    NOT_CONVERGED = "not_converged"
    """The computation stopped without an answer that may be believed."""
    PROCESS_DIED = "process_died"
    """Every attempt was lost."""


@dataclass(frozen=True, kw_only=True)
class JobError:
    kind: JobErrorKind
    detail: str
    faults: tuple[Fault, ...] = ()

    def to_json(self) -> str:
        return json.dumps(asdict(self))

    @classmethod
    def from_json(cls, text: str) -> JobError:
        values = json.loads(text)
        faults = tuple(Fault(**fault) for fault in values["faults"])
        return cls(kind=JobErrorKind(values["kind"]), detail=values["detail"], faults=faults)
