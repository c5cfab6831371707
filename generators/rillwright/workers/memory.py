"""How much memory a process took."""

from __future__ import annotations

import sys


def peak_mb() -> float | None:
    """Most memory that this process ever held, MiB; None where the system does not tell."""
    if sys.platform == "win32":
        return None
    import resource

    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return round(peak / (1024 * 1024 if sys.platform == "darwin" else 1024), 1)
