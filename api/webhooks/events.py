"""What a webhook can be told of."""

from __future__ import annotations

from enum import StrEnum


class WebhookEvent(StrEnum):
    JOB_SUCCEEDED = "job.succeeded"
    JOB_FAILED = "job.failed"
    JOB_CANCELLED = "job.cancelled"
    REVALIDATION_DONE = "revalidation.done"
    """Besides job.succeeded: every stored sequence that was asked about has its answer."""


TEST_EVENT = "webhook.test"
"""Sent when it is asked for, to that webhook alone, whatever it listens to."""
