"""Do the limits of memory fit this machine?"""

from __future__ import annotations

import os
import resource
from pathlib import Path

from api.doctor.amounts import size
from api.doctor.finding import Finding, ok, trouble, warning
from api.settings import Settings

OWN_CGROUP = Path("/proc/self/cgroup")
CGROUPS = Path("/sys/fs/cgroup")
_NO_LIMIT_BYTES = 2**60
"""The first version of cgroups says a huge number where there is no limit."""


def memory(settings: Settings, own: Path = OWN_CGROUP, root: Path = CGROUPS) -> Finding:
    """Beyond the machine's memory the kernel ends a process of its own choice, before a limit of ours is met."""
    what = "memory"
    machine = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES")
    group = cgroup_limit(own, root)
    most = min(machine, group or machine)
    wanted = settings.attempt_memory_mb * settings.job_processes * 1e6
    said = f"{size(machine)} in this machine"
    said += f", {size(group)} for this control group" if group is not None else ""
    said += f"; the jobs may take {size(wanted)}, each reader {size(settings.reader_memory_mb * 1e6)}"
    if wanted > most:
        return warning(what, said, f"set TAPCALL_ATTEMPT_MEMORY_MB x TAPCALL_JOB_PROCESSES to less than {size(most)}")
    return ok(what, said)


def address_space(settings: Settings) -> Finding:
    """A limit set from outside that is lower than ours keeps every attempt from starting: setrlimit(2), EPERM."""
    what = "limits from outside"
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    most = max(settings.attempt_memory_mb, settings.reader_memory_mb) * 1_000_000
    if hard != resource.RLIM_INFINITY and hard < most:
        return trouble(
            what,
            f"a process here may have {size(hard)}, and a job or a reader asks for {size(most)}: none can start",
            "raise the limit (ulimit -v, LimitAS=), or lower TAPCALL_ATTEMPT_MEMORY_MB and TAPCALL_READER_MEMORY_MB",
        )
    return ok(what, "none below ours")


def cgroup_limit(own: Path = OWN_CGROUP, root: Path = CGROUPS) -> int | None:
    """The least limit of this process's control group and those above it, in bytes: cgroups(7), both versions."""
    try:
        lines = [line.split(":", 2) for line in own.read_text().splitlines()]
    except OSError:
        return None
    limits: list[int] = []
    for number, controllers, path in lines:
        if number == "0" and not controllers:
            limits += _limits(root, path, "memory.max")
        elif "memory" in controllers.split(","):
            limits += _limits(root / "memory", path, "memory.limit_in_bytes")
    return min((limit for limit in limits if limit < _NO_LIMIT_BYTES), default=None)


def _limits(top: Path, path: str, name: str) -> list[int]:
    inner = top / path.lstrip("/")
    found = []
    for group in (inner, *inner.parents):
        if not group.is_relative_to(top):
            break
        file = group / name
        if file.is_file() and (said := file.read_text().strip()).isdigit():
            found.append(int(said))
    return found
