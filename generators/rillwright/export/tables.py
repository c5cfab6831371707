"""Tables for the bench: every placed feature and every bought part, as CSV (UTF-8, comma, dot)."""

from __future__ import annotations

import csv
import io

from ..layout.features import JobLayout

FEATURE_COLUMNS = ("plate", "feature", "cut_from", "x_mm", "y_mm", "z_mm", "axis", "call_out", "tolerance_mm", "loop")
PART_COLUMNS = ("part", "kind", "material", "length_mm", "diameter_mm", "note")


def feature_table(layout: JobLayout) -> str:
    """One row a feature: where its axis meets the face it is cut from (file's frame) and what is cut there."""
    rows = [
        (p.name, f.name, f.face, *(f"{v:.3f}" for v in f.origin), " ".join(f"{a:.4g}" for a in f.axis),
         f.call_out, f"{f.tolerance:g}", f.loop or "")
        for p in layout.plates for f in p.features
    ]  # fmt: skip
    return _csv(FEATURE_COLUMNS, rows)


def part_table(layout: JobLayout) -> str:
    """One row a bought or cut part; screws by their nominal length, the rest by their greatest length and diameter."""
    rows: list[tuple[str, ...]] = []
    for h in layout.hardware:
        along = [z for _, z in h.profile]
        wide = 2 * max(r for r, _ in h.profile)
        rows.append((h.name, h.kind, h.material, f"{max(along) - min(along):.2f}", f"{wide:.2f}", h.note))
    return _csv(PART_COLUMNS, rows)


def _csv(columns: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return text.getvalue()
