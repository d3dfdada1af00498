"""Every setting of the service, in one place.

Each field is read from the environment as `TAPCALL_` plus its name in capitals, for example
`TAPCALL_JOB_PROCESSES=2`; an option on the command line wins over the environment.
"""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict


class Settings(BaseSettings):
    """What the person who runs the service may set."""

    model_config = SettingsConfigDict(env_prefix="TAPCALL_", frozen=True, extra="ignore")

    data: Path = Field(default=Path("tapcall-data"), description="Folder that holds layouts, jobs and plans.")
    host: str = Field(
        default="127.0.0.1", description="Address to listen on. There are no keys yet: loopback only."
    )
    port: int = Field(default=8080, ge=0, le=65535, description="Port to listen on; 0 takes a free one.")
    log_level: Literal["debug", "info", "warning", "error"] = Field(
        default="info", description="Least severe log line that is written to stderr."
    )
    largest_body_bytes: int = Field(
        default=10_000_000, ge=1_000, description="A longer request body is refused with status 413."
    )
    job_processes: int = Field(
        default=1, ge=1, description="Plans computed at the same time; one alone already uses all processors."
    )
    most_attempts: int = Field(default=3, ge=1, description="A job whose process died this often has failed.")
    attempt_limit_s: float = Field(
        default=3600.0, gt=0, description="An attempt that runs longer is ended and counts as a dead process."
    )
    lease_s: float = Field(
        default=30.0,
        gt=0,
        description="A running job that nobody vouched for during this time is queued again.",
    )
    heartbeat_s: float = Field(
        default=5.0, gt=0, description="How often the service vouches for its running jobs."
    )
    poll_s: float = Field(
        default=0.2, gt=0, description="How often the service looks for queued and ended jobs."
    )
    busy_timeout_s: float = Field(
        default=10.0, gt=0, description="Longest wait for another writer of the store."
    )

    @property
    def store_url(self) -> str:
        return f"sqlite:///{self.data / 'tapcall.sqlite3'}"
