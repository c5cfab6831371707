"""Cures of channels that find no way, as changes of the file: placed whole, and what fails then is told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from board import TEXT
from rillwright.layout.collect import Collector
from rillwright.layout.covered import cures
from rillwright.layout.covered.channels import NoWay
from rillwright.layout.covered.cures import tried_whole
from rillwright.layout.covering import _made
from rillwright.layout.job_layout import JobLayout
from rillwright.layout.placing import placed_plate
from rillwright.layout.routing import Net, NoRoute, Problem
from rillwright.pipeline import plan
from rillwright.spec.job import Job

NET, THIN = "run", "a channel of run 6 mm wide instead of 8 (tried)"


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> tuple[Job, JobLayout]:
    file = tmp_path_factory.mktemp("cures") / "board.yaml"
    file.write_text(TEXT, encoding="utf-8")
    made = plan(file)
    return made.loaded.model, made.layout


def told(planned: tuple[Job, JobLayout], words: str, change: Callable[[Net], Net]) -> tuple[str, list[Job]]:
    """What is said of one cure, and the jobs that were tried."""
    job, layout = planned
    problem = layout.plans[0].problem
    changed = replace(problem, nets=tuple(change(n) if n.name == NET else n for n in problem.nets))
    return told_of(job, words, problem, changed)


def told_of(job: Job, words: str, was: Problem, now: Problem) -> tuple[str, list[Job]]:
    route = NoRoute(NET, (), (0, 0), 0, (words,))
    route.tried = {words: now}
    tried: list[Job] = []

    def again(new: Job) -> object:
        tried.append(new)
        body = placed_plate(new, "board", new.plates["board"], (True, 0.0), Collector())
        assert body is not None
        return _made(new, "board", new.plates["board"], body)

    why = NoWay(("plates", "board", "channels", 0), "there is no way", "nothing", was, route)
    return tried_whole(job, "board", why, again).do, tried


def test_a_thinner_channel_is_placed_with_its_groove_and_screws(planned: tuple[Job, JobLayout]) -> None:
    said, (job,) = told(planned, THIN, lambda n: replace(n, width=6))
    assert said == "what would let it through: a channel of run 6 mm wide instead of 8 (tried, with grooves and screws)"
    assert {c.name: c.width for c in job.plates["board"].channels} == {"run": 6, "back": 8}


def test_a_port_that_moves_is_written_where_it_stands_then(planned: tuple[Job, JobLayout]) -> None:
    def moved(dy: float) -> Callable[[Net], Net]:
        return lambda n: replace(n, terminals=tuple(
            replace(t, at=(t.at[0], t.at[1] + dy)) if t.name == "out" else t for t in n.terminals))  # fmt: skip

    said, (job,) = told(planned, "out moved by 10 mm (tried)", moved(10))
    assert said.endswith("out moved by 10 mm (tried, with grooves and screws)")
    assert [p.at for p in job.plates["board"].ports if p.name == "out"] == [(80, 40)]
    said, _ = told(planned, "out moved by 30 mm (tried)", moved(30))
    assert "out moved by 30 mm (its lines go, but then 'out' stands " in said


def test_what_takes_too_long_says_that_only_lines_were_tried(
    planned: tuple[Job, JobLayout], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cures, "SECONDS", -1.0)
    said, tried = told(planned, THIN, lambda n: replace(n, width=6))
    assert said.endswith("6 mm wide instead of 8 (tried for the lines of all channels, not with grooves and screws)")
    assert tried == []


def test_less_wall_between_grooves_is_told_as_narrower_lands(planned: tuple[Job, JobLayout]) -> None:
    job, layout = planned
    problem = layout.plans[0].problem
    words = "walls and clearances of 6 mm instead of 7 (tried)"
    said, (new,) = told_of(job, words, problem, replace(problem, wall=problem.wall - 1))
    assert said.endswith("covers.seal.groove.land 1.5 mm instead of 2 (tried, with grooves and screws)")
    assert new.plates["board"].covers.seal is not None
    assert new.plates["board"].covers.seal.groove.land == 1.5


@pytest.mark.parametrize(("thick", "said"), [(25, ""), (10, ", in a body of 17 mm instead of 10")])  # 2 × 7 + 3
def test_a_second_level_is_two_covers(planned: tuple[Job, JobLayout], thick: float, said: str) -> None:
    job, layout = planned
    problem = layout.plans[0].problem
    plate = job.plates["board"]
    crossed = [p.model_copy(update={"at": (p.at[0], -p.at[1])}) if p.name in ("out", "b") else p for p in plate.ports]
    stock = plate.stock.model_copy(update={"thickness": thick})
    job = job.model_copy(update={"plates": {"board": plate.model_copy(update={"stock": stock, "ports": crossed})}})
    words, (new,) = told_of(job, "a second level (tried)", problem, replace(problem, levels=2))
    assert f"a second level: channels with face: both, and covers.outer like covers.seal{said} (tried, with" in words
    assert {c.face for c in new.plates["board"].channels} == {"both"}
