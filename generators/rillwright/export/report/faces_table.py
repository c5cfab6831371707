"""The faces that fittings and plugs seal on, as a table."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from .markup import Markup, el, sentence, table


def faces(records: Sequence[dict[str, Any]]) -> Markup:
    """A row for each port and plug of `face_records`; lengths in mm, finish in µm."""
    if not records:
        inside: list[Markup] = [el("p", "This job has no port and no plug.")]
    else:
        rows = [
            (
                f["face"],
                f["thread"],
                f"Ø {f['spotface']:g} × {f['spotface_depth']:g}",
                f"{f['land']:.2f}",
                f"{f['flatness']:g}",
                f"{f['finish']:g} / {f['finish_gas']:g}",
                _ring(f["seal"]),
            )
            for f in records
        ]
        head = ("Face", "Thread", "Spotface mm", "Flat round it mm", "Flat within mm", "Ra µm, liquid / gas", "Its ring")
        inside = [table(head, rows, "Faces that fittings and plugs seal on", frozenset({3, 4, 5}))]
        inside += [el("p", sentence(t), class_="key") for t in dict.fromkeys(f["advice"] for f in records)]
    return el("section", el("h2", "Faces to seal on"), inside, id="faces")


def _ring(seal: Any) -> str:
    """What the job says of the ring; a dash where the fitting brings its own."""
    return str(seal) if seal else "the fitting's own"
