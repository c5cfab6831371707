"""How much coolant each loop holds, measured on the recovered voids."""

from __future__ import annotations

from typing import Any

from ...layout.nets import Assembly, Terminal
from .voids import Recovered
from .voids_mesh import volume_beyond


def net_rows(a: Assembly, exact: Recovered, again: Recovered) -> list[dict[str, Any]]:
    """One row per loop of an assembly: what it joins, and its coolant in mL, whole and in each plate.

    The whole is exact on the solids; the shares of the plates (up to their seal faces) and of the tubes between them
    are measured on the STL, to what its chords take away. Ports count as full up to their spotface. None stands where
    the loop's wet space is not closed.
    """
    rows = []
    for loop in a.loops:
        net = a.net(loop)
        void, mesh = (found.of(net[0].name) for found in (exact, again))
        whole = void is not None and not void.outside and all(t.name in void.terminals for t in net)
        row: dict[str, Any] = {"assembly": a.name, "loop": loop, "joined": whole, **_names(net)}
        row["coolant_ml"] = round(void.volume / 1000, 2) if whole and void is not None else None
        row["slivers"] = exact.slivers
        shares = []
        for p in a.plates:
            inside = mesh is not None and not mesh.outside and whole
            share = volume_beyond(mesh.shape, p.height, not p.seal_up) / 1000 if inside and mesh is not None else None
            own = tuple(t for t in net if t.plate == p.name)
            shares.append({"plate": p.name, **_names(own), "coolant_ml": None if share is None else round(share, 2)})
        row["plates"] = shares
        rows.append(row)
    return rows


def _names(net: tuple[Terminal, ...]) -> dict[str, list[str]]:
    return {f"{kind}s": [t.name for t in net if t.kind == kind] for kind in ("port", "tube", "plug")}
