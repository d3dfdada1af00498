"""On what the figures were measured."""

from __future__ import annotations

import os
import platform
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

from optimiser.filling.many_runs import usable_cores

_WHERE_LINUX_SAYS_IT = Path("/proc/cpuinfo")


def machine() -> str:
    """Processor, cores, versions, day, and what else the machine was doing."""
    packages = ", ".join(f"{name} {version(name)}" for name in ("numpy", "scipy", "qdldl", "ortools"))
    return (
        f"{datetime.now(UTC):%Y-%m-%d}, {_processor()}, {usable_cores()} cores, {platform.system()}, "
        f"Python {platform.python_version()}, {packages}. "
        f"{load()}"
    )


def _processor() -> str:
    if _WHERE_LINUX_SAYS_IT.exists():
        for line in _WHERE_LINUX_SAYS_IT.read_text().splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or platform.machine()


def load() -> str:
    """What else the machine is doing."""
    known = ", ".join(f"{value:.1f}" for value in os.getloadavg()[:2]) if hasattr(os, "getloadavg") else "not known"
    return f"Load before the start (1 and 5 minutes): {known}."
