"""Which of the places get a screw: shortest cyclic paths, ring after ring, then what is not needed is taken out again."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

from .cheapest import Steps, cheapest
from .known import Known
from .places import Candidates

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]
    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

SHARED = 0.45  # of a screw that a place is worth less which serves another groove too
STARTS = 6  # starts of a cyclic path that are tried
NEAR = 1  # screw above the bound that is not searched for any longer
TURNS = 24  # at most, of taking screws out and choosing them anew
ROUND = 2.2  # pitches round a screw within which they are taken out
GOLDEN = (5**0.5 - 1) / 2  # one screw after the other, each far from those before


@dataclass(frozen=True, slots=True)
class Stretch:
    """A piece of a ring: where it begins along it and its length, mm."""

    ring: int
    start: float
    length: float


class Chooser:
    """Chooses among candidates; the first `given` of them are kept. `pitch` and `spacing` in mm."""

    def __init__(self, found: Candidates, lengths: Sequence[float], pitch: float, spacing: float, given: int) -> None:
        self.found, self.lengths, self.pitch, self.spacing, self.given = found, lengths, pitch, spacing, given
        self.known = Known(found, lengths, spacing)
        self.steps = Steps(pitch, spacing, min(lengths) - 1e-6)
        self.price: Floats = (1.0 - SHARED * (found.rings > 1)).astype(float)

    def bare(self) -> list[Stretch]:
        """Stretches longer than the pitch without any place."""
        return [b for k in range(len(self.lengths)) for b in self._long(k, self.found.s[k])]

    def _long(self, k: int, s: Floats) -> list[Stretch]:
        total = self.lengths[k]
        if len(s) == 0:
            return [Stretch(k, 0.0, total)]
        ends = [*s[1:].tolist(), float(s[0]) + total]
        return [Stretch(k, a, b - a) for a, b in zip(s.tolist(), ends, strict=True) if b - a > self.pitch + 1e-6]

    def gaps(self, k: int, chosen: Sequence[int]) -> tuple[float, ...]:
        """Distances along ring `k` from each chosen screw to the next, mm."""
        return tuple(self.known.gaps(k, self.known.flags(chosen)))

    def choose(self) -> list[int]:
        """Indices of the chosen candidates; raises LookupError with the stretch that cannot be filled."""
        by_length = sorted(range(len(self.lengths)), key=lambda k: -self.lengths[k])
        best, trouble = self._tried(list(range(self.given)), by_length)
        if not self._shared():
            return self._evened(_or_raised(best, trouble))
        for order in (by_length[::-1], list(range(len(self.lengths)))):
            if best is None or len(best) > self.least + NEAR:
                other, _ = self._tried(list(range(self.given)), order)
                best = min((b for b in (best, other) if b is not None), key=len, default=None)
        return self._evened(self._bettered(_or_raised(best, trouble), [by_length, by_length[::-1]]))

    def _tried(self, chosen: list[int], order: Sequence[int]) -> tuple[list[int] | None, LookupError | None]:
        """The chosen with what each ring needs besides, ring after ring, and without what none needs; None and why where
        that fails."""
        try:
            for k in order:
                chosen = self._ring(k, chosen)
        except LookupError as e:
            return None, e
        return self._pruned(chosen), None

    def _bettered(self, best: list[int], orders: Sequence[Sequence[int]]) -> list[int]:
        """Round one screw after the other all are taken out and chosen anew; what needs no more of them is gone on from."""
        import numpy as np

        now, at = best, self.found.at
        for n in range(TURNS):
            if len(best) <= self.least + NEAR:
                break
            middle = now[int(len(now) * (n * GOLDEN % 1))]
            far = np.hypot(*(at[now] - at[middle]).T) > ROUND * self.pitch
            far[: self.given] = True
            other, _ = self._tried([c for c, f in zip(now, far.tolist(), strict=True) if f], orders[n % len(orders)])
            if other is not None and len(other) <= len(now):
                now = other
                best = now if len(now) < len(best) else best
        return best

    def _shared(self) -> bool:
        """Whether some place serves two rings, or one ring twice."""
        return bool((self.found.rings > 1).any())

    def _ring(self, k: int, chosen: list[int]) -> list[int]:
        """The chosen with what ring `k` needs besides. Of two that would stand too near, across a narrow place, the
        first is kept and the rest is chosen again."""
        kept = list(chosen)
        for _ in range(60):
            new = self._fill(k, kept)
            clash = self._clash(new)
            if clash is None:
                return kept + new
            kept.append(clash)
        raise LookupError(Stretch(k, 0.0, self.lengths[k]))

    def _clash(self, new: Sequence[int]) -> int | None:
        import numpy as np

        at = self.found.at
        for i, c in enumerate(new):
            others = list(new[i + 1 :])
            if others and np.hypot(*(at[others] - at[c]).T).min() < self.spacing - 1e-6:
                return c
        return None

    def _fill(self, k: int, kept: Sequence[int]) -> list[int]:
        """New candidates that ring `k` needs besides the kept ones."""
        s, who = self.found.s[k], self.found.who[k]
        fixed = self.known.flags(kept)[who]
        free = self.known.clear_of(kept)[who] & ~fixed
        if not fixed.any():
            return self._round(k, s[free], who[free])
        out: list[int] = []
        at, by = s[fixed].tolist(), who[fixed].tolist()
        for i, a in enumerate(at):
            b = at[i + 1] if i + 1 < len(at) else at[0] + self.lengths[k]
            if b - a > self.pitch:
                between = self._between(k, free, a, b - a, (by[i], by[(i + 1) % len(by)]))
                out += [c for c in between if c not in out]
        return out

    def _between(self, k: int, free: Flags, start: float, length: float, ends: tuple[int, int]) -> list[int]:
        """The best choice on ring `k` between two kept screws `length` mm apart, the first of them at `start`."""
        import numpy as np

        along = (self.found.s[k] - start) % self.lengths[k]
        inside = free & (along > 1e-9) & (along < length - 1e-9)
        order = np.argsort(along[inside], kind="stable")
        nodes, names = along[inside][order], self.found.who[k][inside][order]
        way = self._ways(np.r_[0.0, nodes, length][None], np.r_[ends[0], names, ends[1]][None])[0]
        if way is None:
            raise LookupError(self._worst(k, start, nodes, length))
        return way[1]

    def _worst(self, k: int, start: float, nodes: Floats, length: float) -> Stretch:
        """The longest stretch without a place between two screws that are kept."""
        edges = [0.0, *nodes.tolist(), length]
        size, a = max((b - a, a) for a, b in pairwise(edges))
        return Stretch(k, (start + a) % self.lengths[k], size)

    def _round(self, k: int, s: Floats, who: Ints) -> list[int]:
        """The best cyclic choice on a ring that has no screw yet."""
        import numpy as np

        total = self.lengths[k]
        if bare := self._long(k, s):
            raise LookupError(bare[0])
        if len(s) == 0:
            return []
        starts, _ = least_round(s, total, self.pitch)
        starts = starts[:: max(1, math.ceil(len(starts) / STARTS))]
        turned = np.stack([np.r_[s[i:] - s[i], s[:i] - s[i] + total, total] for i in starts])
        names = np.stack([np.r_[who[i:], who[:i], who[i]] for i in starts])
        ways = [(way[0] + float(self.price[names[n, 0]]), n, way[1])
                for n, way in enumerate(self._ways(turned, names)) if way is not None]  # fmt: skip
        if not ways:
            raise LookupError(Stretch(k, 0.0, total))
        _, n, between = min(ways)
        return [int(names[n, 0]), *between]

    def _ways(self, nodes: Floats, names: Ints) -> list[tuple[float, list[int]] | None]:
        """For each row the cheapest way from its first screw to its last, as candidates."""
        price = self.price[names]
        price[:, [0, -1]] = 0.0
        found = cheapest(nodes, self.found.at[names], price, self.steps)
        return [w and (w[0], row[w[1]].tolist()) for w, row in zip(found, names, strict=True)]

    def _holds(self, k: int, taken: Flags) -> bool:
        return max(self.known.gaps(k, taken)) <= self.pitch + 1e-6

    def _pruned(self, chosen: list[int]) -> list[int]:
        """Without the screws that no ring needs, those that serve the fewest first."""
        taken = self.known.flags(chosen)
        for c in sorted(chosen[self.given :], key=lambda c: (self.found.rings[c], c)):
            taken[c] = False
            taken[c] = not all(self._holds(k, taken) for k, _ in self.known.stations[c])
        return [c for c in chosen if taken[c]]

    def _evened(self, chosen: list[int]) -> list[int]:
        """Each screw of one groove moved between its neighbours, as far as its places allow."""
        chosen, taken = list(chosen), self.known.flags(chosen)
        crowd = sum(self.known.near(c).astype(int) for c in chosen)
        for _ in range(3):
            for n, c in enumerate(chosen[self.given :], self.given):
                to = self._evener(c, taken, crowd - self.known.near(c))
                if to is None:
                    continue
                taken[[c, to]] = False, True
                if self._holds(self.known.stations[c][0][0], taken):
                    crowd = crowd - self.known.near(c) + self.known.near(to)
                    chosen[n] = to
                else:
                    taken[[c, to]] = True, False
        return chosen

    def _evener(self, c: int, taken: Flags, crowd: Ints) -> int | None:
        """The place that lies more evenly between the neighbours of a screw of one groove than its own, if there is one.

        crowd: of each candidate, how many of the other screws stand too near to it."""
        import numpy as np

        if len(self.known.stations[c]) > 1:
            return None
        (k, i), = self.known.stations[c]
        s, who, total = self.found.s[k], self.found.who[k], self.lengths[k]
        here = float(s[i])
        stand = s[taken[who] & (who != c)]
        if len(stand) < 2:
            return None
        ahead, behind = ((stand - here) % total).min(), ((here - stand) % total).min()
        gain = abs(ahead - behind) / 2 - 0.5
        if gain <= 0:
            return None
        want = (here + (ahead - behind) / 2) % total
        ok = (crowd[who] == 0) & (self.found.rings[who] == 1)
        miss = np.abs((s - want + total / 2) % total - total / 2)
        best = int(np.where(ok, miss, np.inf).argmin())
        return int(who[best]) if ok[best] and miss[best] < gain else None

    @cached_property
    def least(self) -> int:
        """A number that no choice can stay below, soon found."""
        from .bound import least_number

        return least_number(self.found, self.lengths, self.pitch, self.given)

    def bound(self) -> int:
        """A number that no choice among the places can stay below; where places are shared also by the covering problem."""
        from .covering import Covering

        return max(self.least, Covering(self.found, self.lengths, self.pitch, self.given).least() if self._shared() else 0)


def _or_raised(best: list[int] | None, trouble: LookupError | None) -> list[int]:
    if best is None:
        assert trouble is not None
        raise trouble
    return best


def least_round(s: Floats, total: float, pitch: float) -> tuple[list[int], int]:
    """Nodes on a ring from which the fewest jumps of at most `pitch` lead round it, and that number."""
    import numpy as np

    n = len(s)
    twice = np.r_[s, s + total]
    far = np.searchsorted(twice, twice[:n] + pitch + 1e-9, side="right") - 1
    window = np.nonzero(s <= s[0] + pitch)[0]
    counts = np.zeros(len(window), dtype=np.int64)
    for w, i in enumerate(window.tolist()):
        at, jumps, end = i, 0, i + n
        while at < end and jumps <= n:
            step = int(far[at % n]) + (at // n) * n
            at, jumps = max(step, at + 1), jumps + 1
        counts[w] = jumps
    least = int(counts.min())
    return window[counts == least].tolist(), least
