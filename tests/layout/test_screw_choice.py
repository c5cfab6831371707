"""What places of screws are chosen from: free places by two ways, cheapest ways and bounds by trying all."""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from covered import box, channel, tree
from rillwright.layout import paths
from rillwright.layout.sealing.bound import least_number
from rillwright.layout.sealing.cheapest import EVEN, Steps, cheapest
from rillwright.layout.sealing.covering import Covering
from rillwright.layout.sealing.places import Candidates, Room, blockers, free_of, grid, stations, track
from rillwright.layout.sealing.plate import rings
from rillwright.layout.sealing.ring import Lands, ring
from rillwright.layout.sealing.screws import screws_along

seeds = st.integers(0, 10**6)


@settings(max_examples=15, deadline=None)
@given(seeds)
def test_free_places_are_those_that_nothing_blocks(seed: int) -> None:
    import shapely

    rng = random.Random(seed)
    line = ring(tree(seed), box(1000, 1000), 2, 2.8, 2, 2, 6).path
    spots = [p for _, p, _ in paths.along(line, 20)]
    (x, y), far = rng.choice(spots), paths.circle(rng.choice(spots), rng.uniform(3, 20))
    room = Room((5.5, 12.0), 4.0, (("fitting", ((x, y), 5.0), 1.0), ("ring", far, 1.0)), box(90, 60), 2.0)
    tracks = [track(line), track(paths.circle((x + 30, y), 9.0))]
    points = grid(tracks[0], room.reach).reshape(-1, 2)
    blocked = np.logical_or.reduce(list(blockers(points, tracks, room).values()))
    assert np.array_equal(free_of(points, shapely.points(points), tracks, room), np.nonzero(~blocked)[0])


@settings(max_examples=25, deadline=None)
@given(seeds)
def test_the_cheapest_way_is_the_cheapest_of_all(seed: int) -> None:
    rng = random.Random(seed)
    rows, n, steps = 2, rng.randint(3, 9), Steps(30.0, 9.0, 70.0)
    nodes = np.array([[0.0, *sorted(rng.uniform(0, 60) for _ in range(n - 2)), 60.0] for _ in range(rows)])
    at = np.array([[[s, rng.uniform(-6, 6)] for s in row] for row in nodes])
    price = np.array([[0.0, *(rng.choice([1.0, 0.55]) for _ in range(n - 2)), 0.0] for _ in range(rows)])
    for row, found in enumerate(cheapest(nodes, at, price, steps)):
        ways = [w for k in range(n - 1) for w in itertools.combinations(range(1, n - 1), k)]
        costs = {w: c for w in ways if (c := _cost(nodes[row], at[row], price[row], w, steps)) is not None}
        assert (found is None) == (not costs)
        if found is not None:
            assert math.isclose(found[0], min(costs.values()), abs_tol=1e-9)
            assert math.isclose(costs[tuple(found[1])], found[0], abs_tol=1e-9)


def _cost(nodes: np.ndarray, at: np.ndarray, price: np.ndarray, way: tuple[int, ...], steps: Steps) -> float | None:
    stops = [0, *way, len(nodes) - 1]
    mean = nodes[-1] / math.ceil(nodes[-1] / steps.pitch)
    total = sum(float(price[i]) for i in way)
    for a, b in itertools.pairwise(stops):
        if nodes[b] - nodes[a] > steps.pitch or math.dist(at[a], at[b]) < steps.spacing:
            return None
        total += EVEN * ((nodes[b] - nodes[a] - mean) / steps.pitch) ** 2
    return total


@settings(max_examples=25, deadline=None)
@given(seeds)
def test_no_choice_stays_below_the_bounds(seed: int) -> None:
    """Two round tracks side by side with places between and around them: the least number by trying every choice."""
    rng = random.Random(seed)
    tracks = [track(paths.circle((x, 0.0), 12.0), 0.5) for x in (-20.0, 20.0)]
    at = np.array([[0.0, 0.0], *([x + 18 * math.cos(a), 18 * math.sin(a)] for x, a in
                                 ((rng.choice([-20.0, 20.0]), rng.uniform(0, math.tau)) for _ in range(10)))])  # fmt: skip
    nodes = [stations(at, t, 22.0) for t in tracks]
    count = np.zeros(len(at))
    for _, who in nodes:
        np.add.at(count, who, 1)
    found = Candidates(at, [s for s, _ in nodes], [w for _, w in nodes], count)
    lengths, pitch = [t.length for t in tracks], rng.uniform(25, 60)

    def holds(chosen: tuple[int, ...]) -> bool:
        for s, who, total in zip(found.s, found.who, lengths, strict=True):
            here = s[np.isin(who, chosen)].tolist()
            if not here or max(b - a for a, b in itertools.pairwise([*here, here[0] + total])) > pitch:
                return False
        return True

    every = range(len(at))
    least = next((k for k in range(1, len(at) + 1) if any(map(holds, itertools.combinations(every, k)))), None)
    if least is not None:
        assert least_number(found, lengths, pitch, 0) <= least
        assert Covering(found, lengths, pitch, 0).least() <= least


def test_grooves_that_run_side_by_side_share_screws() -> None:
    wets = {n: [channel(n, [(-120, y), (120, y)], 8, n)] for n, y in (("a", -36), ("b", 0), ("c", 36))}
    plate = box(300, 160)
    laid = rings(wets, plate, Lands(cord=2, width=2.8, land_inner=2, land_outer=2, corner=6))
    tracks = [r.path for rs in laid.values() for r in rs]
    made = screws_along(tracks, 40, (5.5, 12), 3.5, outline=plate, edge=1)
    assert made.bound <= len(made.at) <= made.bound + 2
    assert len(made.at) < sum(math.ceil(paths.length(t) / 40) for t in tracks) - 8  # as many as are shared
    kept = made.at[::5]
    again = screws_along(tracks, 30, (5.5, 12), 3.5, given=kept, outline=plate, edge=1)
    assert again.at[: len(kept)] == kept
    assert max(max(gaps) for gaps in again.gaps) <= 30
    assert len(kept) <= again.bound <= len(again.at)
