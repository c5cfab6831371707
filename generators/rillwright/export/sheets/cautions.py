"""Which cautions a job needs: one that speaks of a material or of glue stands only where there is any of it."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable

from ...layout.job_layout import JobLayout

ABOUT = {r"\bacrylic\b": "pmma", r"\bpolycarbonate\b": "pc", r"^Glass\b": "borosilicate", r"^Cyanoacrylate\b": "glue"}


def things(layout: JobLayout) -> frozenset[str]:
    """Materials of plates and tubes, and `glue` where rings are glued from cord."""
    of = [*(p.material for p in layout.plates), *(h.material for h in layout.hardware if h.kind == "tube")]
    return frozenset([*of, *(["glue"] if layout.rings else [])])


def applying(sentences: Iterable[str], there: Collection[str]) -> tuple[str, ...]:
    """Those that are general, and those that speak of something that is `there` (names of materials, `glue`)."""
    kept = []
    for s in sentences:
        wanted = [name for pattern, name in ABOUT.items() if re.search(pattern, s)]
        first = wanted[-1:] if any(w == "glue" for w in wanted) else wanted  # glue is what it is about, acrylic an example
        if not first or any(t == w or t.startswith(f"{w}-") for w in first for t in there):
            kept.append(s)
    return tuple(kept)
