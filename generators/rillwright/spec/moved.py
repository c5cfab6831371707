"""Keys that another key says already: what is told of them, with the place of the key to write instead."""

from __future__ import annotations

from typing import Any

from .branches import Fault, members
from .kinds import Said
from .messages import dotted, shown
from .yaml_source import Source

# Model and key; the key beside the list that holds it; what is wrong; what of the entry does not go with it.
_MOVED = {
    ("KeepOut", "cut"): ("windows", "what is cut out is written under windows, and kept out of by that alone",
                         ("cut", "clearance")),
}  # fmt: skip


def moved(fault: Fault, source: Source) -> Said | None:
    """Words for a key that went elsewhere; None for any other fault."""
    if fault.kind != "extra_forbidden":
        return None
    found = _MOVED.get((getattr(members(fault.holder)[0], "__name__", ""), str(fault.loc[-1])))
    if found is None:
        return None
    beside, what, left = found
    if fault.given is False:
        return Said(what, shown(fault.given), f"leave {fault.loc[-1]} out")
    home, entry = (*fault.loc[:-3], beside), dotted(fault.loc[:-1])
    around: Any = source.data  # what holds the list that holds the entry: it is there
    for step in home[:-1]:
        around = around[step]
    here = beside in around
    place = f"under {dotted(home)} in line {source.where(home, key=True)[0]}" if here else f"under a new key {dotted(home)}"
    return Said(what, shown(fault.given), f"move {entry} {place}, without {' and '.join(left)}")
