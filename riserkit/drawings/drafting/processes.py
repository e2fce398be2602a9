"""Sharing work among processes: how many cores there are, and whether forking is safe."""

from __future__ import annotations

import multiprocessing
import os
import sys
import threading
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import Final, TypeVar

from riserkit.drawings.drafting.errors import DrawingError

_Item = TypeVar("_Item")
_Done = TypeVar("_Done")
_AHEAD: Final = 4
"""Results that may wait for their turn, for each process: memory does not grow with the set."""


def cores() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def may_fork() -> bool:
    """Forking copies locks as they stand: safe only where no other thread may hold one."""
    return sys.platform.startswith("linux") and threading.active_count() == 1


def done_in_order(
    work: Callable[[_Item], _Done], items: Sequence[_Item], workers: int, least: int, doing: str
) -> Iterator[_Done]:
    """The work done on each item, in order, by several processes where that pays and is safe.

    Args:
        work: a function at the top of a module.
        items: what it is done on.
        workers: processes at most.
        least: items below which a second process costs more than it saves.
        doing: what the processes do, for the error.

    Raises:
        DrawingError: a process was ended from outside.
    """
    if workers < 2 or len(items) < least or not may_fork():
        yield from map(work, items)
        return
    pool = ProcessPoolExecutor(min(workers, len(items)), multiprocessing.get_context("fork"))
    ahead: deque[Future[_Done]] = deque()
    try:
        for item in items:
            ahead.append(pool.submit(work, item))
            if len(ahead) > _AHEAD * workers:
                yield ahead.popleft().result()
        while ahead:
            yield ahead.popleft().result()
    except BrokenProcessPool as error:
        raise DrawingError(f"a process that {doing} sheets was ended from outside; try again") from error
    finally:
        pool.shutdown(cancel_futures=True)
