"""How much memory a process took."""

from __future__ import annotations

import sys
from pathlib import Path


def peak_mb() -> float | None:
    """Most memory that this process ever held, MiB; None where the system does not tell."""
    if sys.platform == "win32":
        return None
    if sys.platform == "linux":
        # what getrusage tells of a process just started is the peak of the one that started it
        lines = Path("/proc/self/status").read_text(encoding="ascii", errors="replace").splitlines()
        return next((round(int(line.split()[1]) / 1024, 1) for line in lines if line.startswith("VmHWM:")), None)
    import resource

    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return round(peak / (1024 * 1024 if sys.platform == "darwin" else 1024), 1)
