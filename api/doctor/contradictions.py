"""Settings that speak against each other."""

from __future__ import annotations

from api.doctor.finding import Finding, ok, trouble, warning
from api.http.wrong_requests import LOOPBACK_HOSTS
from api.settings import Settings

_LEAST_BEATS = 3
"""Heartbeats in a lease, so that two may be missed before a job is taken away (common practice, no source)."""
_SHORT_WAIT_S = 1.0


def leases(settings: Settings) -> Finding:
    """A job whose lease runs out between two heartbeats is taken from a worker that lives."""
    what, lease_s, wait_s = "leases", settings.lease_s, settings.busy_timeout_s
    beat_s = max(settings.heartbeat_s, settings.poll_s)
    said = f"vouched for every {beat_s:g} s, taken away after {lease_s:g} s"
    remedy = f"set TAPCALL_LEASE_S to more than {_LEAST_BEATS} times TAPCALL_HEARTBEAT_S and TAPCALL_POLL_S"
    if beat_s >= lease_s:
        return trouble(what, f"{said}: no job can be finished", remedy)
    if _LEAST_BEATS * beat_s >= lease_s:
        return warning(what, f"{said}: a short stall is enough to lose a job", remedy)
    if beat_s + wait_s >= lease_s:
        return warning(
            what,
            f"{said}, and a heartbeat may wait {wait_s:g} s for another writer",
            "set TAPCALL_LEASE_S to more than TAPCALL_HEARTBEAT_S and TAPCALL_BUSY_TIMEOUT_S together",
        )
    return ok(what, said)


def busy_timeout(settings: Settings) -> Finding:
    what, wait_s = "wait for other writers", settings.busy_timeout_s
    if wait_s < _SHORT_WAIT_S:
        return warning(
            what, f"{wait_s:g} s: requests fail when several write at once", "set TAPCALL_BUSY_TIMEOUT_S to 3 or so"
        )
    return ok(what, f"{wait_s:g} s at most")


def keys_and_address(settings: Settings) -> Finding:
    what = "who may do what"
    if settings.keys:
        return ok(what, "every request needs a key, but for health")
    if settings.host in LOOPBACK_HOSTS:
        return ok(what, f"no keys, on {settings.host}: whoever is logged in on this machine may do all")
    return trouble(
        what,
        f"no keys are asked for on {settings.host}: whoever gets there may do all",
        "set TAPCALL_KEYS=true, or TAPCALL_HOST=127.0.0.1",
    )


def workers_here(settings: Settings) -> Finding:
    what = "workers here"
    if settings.job_processes == 0:
        return warning(
            what,
            "none: tapcall serve takes jobs in and does not work on them",
            "run tapcall work on this store, or set TAPCALL_JOB_PROCESSES to 1",
        )
    return ok(what, f"jobs at the same time: {settings.job_processes}, readers: {settings.reader_processes}")


def unused_folder(settings: Settings) -> Finding:
    what = "which store"
    if settings.database_url is not None and "data" in settings.model_fields_set:
        return warning(
            what,
            f"TAPCALL_DATABASE_URL is set, so the data folder {settings.data} is not used",
            "take one of the two out, so that nobody looks in the wrong place",
        )
    return ok(what, "the data folder" if settings.database_url is None else "the database of TAPCALL_DATABASE_URL")
