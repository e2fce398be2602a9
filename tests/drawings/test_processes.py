"""Work shared among processes comes back in order, and no process grows old: what a forked child looks at becomes its own memory."""

from __future__ import annotations

import os
from collections import Counter

import pytest

from riserkit.drawings.processes import ITEMS_A_CHILD, done_as_they_end, done_in_order


def _by(item: int) -> tuple[int, int]:
    return item, os.getpid()


def test_results_come_in_order_and_processes_are_replaced(plain_signals: None) -> None:
    items = range(5 * ITEMS_A_CHILD + 1)
    done = list(done_in_order(_by, items, workers=2, least=2, doing="counted"))
    assert [item for item, _ in done] == list(items)
    by = Counter(process for _, process in done)
    assert os.getpid() not in by
    assert max(by.values()) <= 2 * ITEMS_A_CHILD, "one may do the work of both, and no more"
    assert len(by) >= 3


def test_batches_are_all_done_and_processes_are_replaced(plain_signals: None) -> None:
    batches = [range(n, n + 4) for n in range(0, 5 * ITEMS_A_CHILD, 4)]
    cannot_be_sent = lambda batch: (list(batch), os.getpid())  # noqa: E731
    done = list(done_as_they_end(cannot_be_sent, batches, workers=2, doing="counted"))
    assert sorted(items for items, _ in done) == [list(batch) for batch in batches]
    by = Counter[int]()
    for items, process in done:
        by[process] += len(items)
    assert os.getpid() not in by
    assert max(by.values()) <= 2 * ITEMS_A_CHILD, "one may do the work of both, and no more"
    assert len(by) >= 3


class _Ring:
    """Garbage that only a search for rings finds, as a drawing's document is."""

    alive = 0

    def __init__(self) -> None:
        self.own = self
        _Ring.alive += 1

    def __del__(self) -> None:
        _Ring.alive -= 1


def _alive_after(_: int) -> int:
    _Ring()
    return _Ring.alive


@pytest.mark.parametrize("workers", [1, 2])
def test_the_garbage_of_an_item_is_gone_before_the_next(plain_signals: None, workers: int) -> None:
    alive = done_in_order(_alive_after, range(20), workers=workers, least=2, doing="counted")
    assert list(alive) == [1] * 20, "documents of sheets printed earlier would stand in memory"
