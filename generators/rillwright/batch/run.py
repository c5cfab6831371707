"""Orders through an executor: no more on the way than keep it busy; whatever fails is told while the rest goes on."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, CancelledError, Executor, Future, wait

from .order import Made, Order

Work = Callable[[Order], Made]
GRACE = 60.0  # s beyond the limit of a variant until a silent executor is given up


def results(
    orders: Sequence[Order], executor: Executor, work: Work, ahead: int, limit: float
) -> Generator[tuple[Order, Made], None, None]:
    """Every order with what became of it, as they come.

    `ahead` orders are on the way at once, so that neither side holds the files of hundreds of variants. `limit` is what
    one of them may take, s, 0 for no limit: where nothing at all comes back for longer, the rest is told as lost.
    """
    waiting, on_the_way = iter(orders), dict[Future[Made], Order]()
    patience = limit + GRACE if limit > 0 else None
    while True:
        for order in _next(waiting, ahead - len(on_the_way)):
            on_the_way[executor.submit(work, order)] = order
        if not on_the_way:
            return
        done, _ = wait(on_the_way, timeout=patience, return_when=FIRST_COMPLETED)
        if not done:
            yield from _given_up(on_the_way, waiting, patience)
            return
        for future in done:
            order = on_the_way.pop(future)
            yield order, _result(order, future)


def _next(waiting: Iterator[Order], count: int) -> Iterator[Order]:
    for _ in range(count):
        order = next(waiting, None)
        if order is None:
            return
        yield order


def _result(order: Order, future: Future[Made]) -> Made:
    try:
        return future.result()
    except CancelledError:
        return Made(order.name, trouble="was called off")
    except Exception as error:  # the worker died, or what it was sent or sent back could not cross
        return Made(order.name, trouble=" ".join(str(error).split()) or type(error).__name__)


def _given_up(
    on_the_way: dict[Future[Made], Order], waiting: Iterator[Order], patience: float | None
) -> Iterator[tuple[Order, Made]]:
    for future in on_the_way:
        future.cancel()
    for order in (*on_the_way.values(), *waiting):
        yield order, Made(order.name, trouble=f"no worker answered for {patience:g} s")
