"""Which of the places get a screw: shortest cyclic paths, ring after ring, then what is not needed is taken out again."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain, pairwise
from typing import TYPE_CHECKING

from .places import Candidates

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

SHARED = 0.45  # of a screw that a place is worth less which serves another groove too
STARTS = 6  # starts of a cyclic path that are tried
NEAR = 1  # screw above the bound that is not searched for any longer: seconds, to save one of fifty
EVEN = 1e-4  # weight of evenness against the number: (gap/pitch − mean)² per screw


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
        import numpy as np

        s = self.found.s[k][np.isin(self.found.who[k], list(chosen))]
        if len(s) == 0:
            return (self.lengths[k],)
        return tuple(np.diff([*s.tolist(), float(s[0]) + self.lengths[k]]).tolist())

    def choose(self) -> list[int]:
        """Indices of the chosen candidates; raises LookupError with the stretch that cannot be filled."""
        best, trouble = self._tried(list(range(self.given)))
        if not self._shared() or (best is not None and len(best) <= self.bound() + NEAR):
            return self._evened(_or_raised(best, trouble))
        from .fewest import Covering

        rounds = Covering(self.found, self.lengths, self.pitch, self.given).proposals(self.spacing)
        for taken in chain([self._linear[1]], rounds):
            other, _ = self._tried(self._standing(taken))
            best = min((b for b in (best, other) if b is not None), key=len, default=None)
            if best is not None and len(best) <= self.bound() + NEAR:
                break
        return self._evened(_or_raised(best, trouble))

    def _tried(self, chosen: list[int]) -> tuple[list[int] | None, LookupError | None]:
        """The chosen with what each ring needs besides, and without what none needs; None and why where it fails."""
        try:
            for k in sorted(range(len(self.lengths)), key=lambda k: -self.lengths[k]):
                chosen = self._ring(k, chosen)
        except LookupError as e:
            return None, e
        return self._pruned(chosen), None

    def _standing(self, taken: Sequence[int]) -> list[int]:
        """The given screws, and of those taken the ones that serve several grooves and stand far enough apart."""
        kept = list(range(self.given))
        for c in taken:
            if c >= self.given and self.found.rings[c] > 1 and self._clear_of(kept)[c]:
                kept.append(c)
        return kept

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
        import numpy as np

        s, who = self.found.s[k], self.found.who[k]
        fixed = np.isin(who, list(kept))
        free = self._clear_of(kept)[who] & ~fixed
        if not fixed.any():
            return self._round(k, s[free], who[free])
        out: list[int] = []
        at, by = s[fixed].tolist(), who[fixed].tolist()
        for i, a in enumerate(at):
            b = at[i + 1] if i + 1 < len(at) else at[0] + self.lengths[k]
            if b - a <= self.pitch:
                continue
            along = (s - a) % self.lengths[k]
            inside = free & (along > 1e-9) & (along < b - a - 1e-9)
            order = np.argsort(along[inside], kind="stable")
            nodes, names = along[inside][order], who[inside][order]
            picked = self._path(nodes, names, by[i], by[(i + 1) % len(by)], b - a)
            if picked is None:
                raise LookupError(self._worst(k, a, nodes, b - a))
            out += [c for c in picked[1] if c not in out]
        return out

    def _worst(self, k: int, start: float, nodes: Floats, length: float) -> Stretch:
        """The longest stretch without a place between two screws that are kept."""
        edges = [0.0, *nodes.tolist(), length]
        size, a = max((b - a, a) for a, b in pairwise(edges))
        return Stretch(k, (start + a) % self.lengths[k], size)

    def _clear_of(self, kept: Sequence[int]) -> NDArray[np.bool_]:
        import numpy as np

        ok = np.ones(len(self.found.at), dtype=bool)
        for j in kept:
            ok &= np.hypot(*(self.found.at - self.found.at[j]).T) >= self.spacing - 1e-9
        return ok

    def _round(self, k: int, s: Floats, who: Ints) -> list[int]:
        """The best cyclic choice on a ring that has no screw yet."""
        import numpy as np

        total = self.lengths[k]
        if bare := self._long(k, s):
            raise LookupError(bare[0])
        if len(s) == 0:
            return []
        starts, _ = least_round(s, total, self.pitch)
        best: tuple[float, list[int]] | None = None
        for i in starts[:: max(1, math.ceil(len(starts) / STARTS))]:
            turned = np.roll(s, -i) - s[i]
            turned[turned < 0] += total
            names = np.roll(who, -i)
            found = self._path(turned[1:], names[1:], int(names[0]), int(names[0]), total)
            if found is not None and (best is None or found[0] + self._price(int(names[0])) < best[0]):
                best = (found[0] + self._price(int(names[0])), [int(names[0]), *found[1]])
        if best is None:
            raise LookupError(Stretch(k, 0.0, total))
        return best[1]

    def _price(self, c: int) -> float:
        return 1.0 - SHARED * float(self.found.rings[c] > 1)

    def _path(self, s: Floats, who: Ints, first: int, last: int, length: float) -> tuple[float, list[int]] | None:
        """Cheapest way from a screw at 0 to one at `length` mm: (cost, those between); None where there is none."""
        import numpy as np

        at = self.found.at
        nodes, names = np.r_[0.0, s, length], np.r_[first, who, last]
        price = np.r_[0.0, 1.0 - SHARED * (self.found.rings[who] > 1), 0.0]
        mean = length / math.ceil(length / self.pitch - 1e-9)
        low = np.searchsorted(nodes, nodes - self.pitch - 1e-9)
        cost, back = np.full(len(nodes), np.inf), np.zeros(len(nodes), dtype=np.int64)
        cost[0] = 0.0
        xy = at[names]
        for i in range(1, len(nodes)):
            j = slice(int(low[i]), i)
            step = nodes[i] - nodes[j]
            total = cost[j] + price[i] + EVEN * ((step - mean) / self.pitch) ** 2
            apart = (xy[j, 0] - xy[i, 0]) ** 2 + (xy[j, 1] - xy[i, 1]) ** 2 >= (self.spacing - 1e-9) ** 2
            total = np.where(apart | (step >= self.lengths_less), total, np.inf)
            b = int(total.argmin()) if len(total) else -1
            if b >= 0 and total[b] < cost[i]:
                cost[i], back[i] = total[b], j.start + b
        if not math.isfinite(cost[-1]):
            return None
        out, i = [], int(back[-1])
        while i > 0:
            out.append(int(names[i]))
            i = int(back[i])
        return float(cost[-1]), out[::-1]

    @property
    def lengths_less(self) -> float:
        """A step as long as a whole ring: from a screw round to itself, which is not too near to itself."""
        return min(self.lengths) - 1e-6

    def _holds(self, chosen: Sequence[int]) -> bool:
        return all(max(self.gaps(k, chosen)) <= self.pitch + 1e-6 for k in range(len(self.lengths)))

    def _pruned(self, chosen: list[int]) -> list[int]:
        """Without the screws that no ring needs, those that serve the fewest first."""
        for c in sorted(chosen[self.given :], key=lambda c: (self.found.rings[c], c)):
            fewer = [d for d in chosen if d != c]
            if self._holds(fewer):
                chosen = fewer
        return chosen

    def _evened(self, chosen: list[int]) -> list[int]:
        """Each screw of one groove moved between its neighbours, as far as its places allow."""
        import numpy as np

        for _ in range(3):
            for n, c in enumerate(chosen[self.given :], self.given):
                if self.found.rings[c] > 1:
                    continue
                k = next(k for k in range(len(self.lengths)) if c in self.found.who[k])
                s, who, total = self.found.s[k], self.found.who[k], self.lengths[k]
                others = [d for d in chosen if d != c]
                here = float(s[who == c][0])
                stand = s[np.isin(who, others)]
                if len(stand) < 2:
                    continue
                ahead, behind = ((stand - here) % total).min(), ((here - stand) % total).min()
                want = (here + (ahead - behind) / 2) % total
                ok = self._clear_of(others)[who] & (self.found.rings[who] == 1)
                miss = np.abs((s - want + total / 2) % total - total / 2)
                best = int(np.where(ok, miss, np.inf).argmin())
                if ok[best] and miss[best] < abs(ahead - behind) / 2 - 0.5:
                    moved = [*chosen[:n], int(who[best]), *chosen[n + 1 :]]
                    chosen = moved if self._holds(moved) else chosen
        return chosen

    @cached_property
    def _linear(self) -> tuple[int, list[int]]:
        """The linear problem's bound and what it leans to, where places are shared."""
        from .fewest import DENSE, Covering

        return Covering(self.found, self.lengths, self.pitch, self.given, DENSE).linear() if self._shared() else (0, [])

    def bound(self) -> int:
        """A number that no choice among the places can stay below."""
        return max(self._linear[0], self._apart)

    @cached_property
    def _apart(self) -> int:
        from .bound import least_number

        return least_number(self.found, self.lengths, self.pitch, self.given)


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
