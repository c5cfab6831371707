"""How much coolant each loop holds, measured on the recovered voids."""

from __future__ import annotations

from typing import Any

from ...layout.nets import Assembly, Terminal
from .voids import Recovered, Void
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
        voids, meshes = (voids_of(a, loop, found) for found in (exact, again))
        whole = bool(voids) and {t.name for t in net} <= {n for v in voids for n in v.terminals}
        row: dict[str, Any] = {"assembly": a.name, "loop": loop, "joined": whole, **_names(net)}
        row["coolant_ml"] = round(sum(v.volume for v in voids) / 1000, 2) if whole else None
        row["slivers"] = exact.slivers
        shares = []
        for p in a.plates:
            beyond = [volume_beyond(v.shape, p.height, not p.seal_up) for v in meshes] if whole else []
            share = sum(beyond) / 1000 if beyond else None
            own = tuple(t for t in net if t.plate == p.name)
            shares.append({"plate": p.name, **_names(own), "coolant_ml": None if share is None else round(share, 2)})
        row["plates"] = shares
        rows.append(row)
    return rows


def voids_of(a: Assembly, loop: str, found: Recovered) -> list[Void]:
    """The closed voids that hold a loop, those behind parts on the plates with them; none where one of them is open."""
    out: list[Void] = []
    waiting = [a.net(loop)[0].name]
    seen: set[str] = set()
    while waiting:
        name = waiting.pop()
        void = found.of(name)
        if void is None or void.outside:
            return []
        if all(void is not v for v in out):
            out.append(void)
        seen |= {name, *void.terminals}
        waiting += sorted(a.reached(void.terminals) - seen)
    return out


def _names(net: tuple[Terminal, ...]) -> dict[str, list[str]]:
    return {f"{kind}s": [t.name for t in net if t.kind == kind] for kind in ("port", "tube", "plug")}
