"""Sharing work among processes: how many cores there are, whether forking is safe, and that none outlives its parent."""

from __future__ import annotations

import contextlib
import ctypes
import gc
import multiprocessing
import os
import signal
import sys
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextvars import ContextVar
from typing import Any, Final, TypeVar

from riserkit.drawings.dxf.errors import DrawingError

_Item = TypeVar("_Item")
_Done = TypeVar("_Done")
_AHEAD: Final = 4
"""Results that may wait for their turn, for each process: memory does not grow with the set."""
ITEMS_A_CHILD: Final = 32
"""Items that a process works on before a new one takes its place: what a forked child looks at becomes its own, and its memory grows."""
_LOOK_S: Final = 0.2
_END_WITH_PARENT: Final = 1
"""PR_SET_PDEATHSIG of Linux, prctl(2)."""
_own_work: ContextVar[Callable[[Any], Any]] = ContextVar("own_work")
"""What a child does with each item it is sent; inherited by the fork, so it may hold what cannot be sent, such as a design."""


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
        work: what is done; children inherit it, so it may hold anything.
        items: what it is done on, each sent to a child.
        workers: processes at most.
        least: items below which a second process costs more than it saves.
        doing: what the processes do, for the error.

    Raises:
        DrawingError: a process was ended from outside.
    """

    def tidily(item: _Item) -> _Done:
        with uncollected():
            return work(item)

    if workers < 2 or len(items) < least or not may_fork():
        yield from map(tidily, items)
        return
    for few in _rounds(items, workers):
        with forked(min(workers, len(few)), doing, tidily) as pool:
            ahead: deque[Future[_Done]] = deque()
            for item in few:
                ahead.append(pool.submit(_do, item))
                if len(ahead) > _AHEAD * workers:
                    yield outcome(ahead.popleft())
            while ahead:
                yield outcome(ahead.popleft())


def done_as_they_end(
    work: Callable[[Sequence[_Item]], _Done], batches: Sequence[Sequence[_Item]], workers: int, doing: str
) -> Iterator[_Done]:
    """The work done on each batch of items by several processes, in the order in which it ends.

    Args:
        work: what is done; children inherit it, so it may hold anything.
        batches: items that one process takes together, each sent to a child.
        workers: processes; the caller has made sure that this process may fork.
        doing: what they do, for the error.

    Raises:
        DrawingError: a process was ended from outside.
    """
    for few in _rounds(batches, workers, len):
        with forked(min(workers, len(few)), doing, work) as pool:
            futures: list[Future[_Done]] = [pool.submit(_do, batch) for batch in few]
            yield from _as_they_end(futures)


def _one(_item: object) -> int:
    return 1


def _rounds(items: Sequence[_Item], workers: int, count: Callable[[_Item], int] = _one) -> Iterator[Sequence[_Item]]:
    """Items for one set of processes after another, see `ITEMS_A_CHILD`; `count` says how many each stands for."""
    few: list[_Item] = []
    for item in items:
        few.append(item)
        if sum(map(count, few)) >= ITEMS_A_CHILD * workers:
            yield few
            few = []
    if few:
        yield few


def _do(item: Any) -> Any:
    return _own_work.get()(item)


@contextlib.contextmanager
def uncollected() -> Iterator[None]:
    """Look for rings of garbage once, after a sheet: its document is one, and searching while it grows finds nothing.

    Left to itself Python would look only after some thousand things more: several documents would stand in memory.
    """
    was_enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_enabled:
            gc.enable()
            gc.collect(1)


def outcome(future: Future[_Done]) -> _Done:
    """What a process made of its item.

    It is looked for again and again: Python does not notice a signal that comes just before a wait without end.
    """
    while not future.done():
        wait([future], timeout=_LOOK_S)
    return future.result()


def _as_they_end(futures: Iterable[Future[_Done]]) -> Iterator[_Done]:
    """What processes made, in the order in which they end, looked for as `outcome` does."""
    left = set(futures)
    while left:
        done, left = wait(left, timeout=_LOOK_S, return_when=FIRST_COMPLETED)
        yield from (future.result() for future in done)


@contextlib.contextmanager
def forked(workers: int, doing: str, work: Callable[[Any], Any] | None = None) -> Iterator[ProcessPoolExecutor]:
    """Processes forked from this one. They end at once when the work is broken off, and with this process in any case.

    Args:
        workers: how many.
        doing: what they do, for the error.
        work: what `_do` calls in them.

    Raises:
        DrawingError: one of them was ended from outside.
    """
    before = set(multiprocessing.active_children())
    _give_back()
    pool = ProcessPoolExecutor(workers, multiprocessing.get_context("fork"), _start_child, (os.getpid(), work))
    try:
        yield pool
    except BaseException as error:
        # Nobody waits for what they are at: a command that is stopped stops within a second.
        for child in set(multiprocessing.active_children()) - before:
            child.kill()
        _expect_no_more(pool)
        if isinstance(error, BrokenProcessPool):
            raise DrawingError(f"a process that {doing} sheets was ended from outside; try again") from error
        raise
    finally:
        pool.shutdown(cancel_futures=True)


def _give_back() -> None:
    """Give memory that is no more used back to the system, where its library can (glibc): children would share it for nothing."""
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None) if sys.platform == "linux" else None
    if trim is not None:
        trim(0)


def _expect_no_more(pool: ProcessPoolExecutor) -> None:
    """Close our own end of the pipe of results: of a result cut off by a kill, the rest would be waited for without end."""
    writer = getattr(getattr(pool, "_result_queue", None), "_writer", None)
    if writer is not None:
        writer.close()


def _start_child(parent: int, work: Callable[[Any], Any] | None) -> None:
    """Make a forked process one that its parent alone commands."""
    if work is not None:
        _own_work.set(work)
    # A terminal sends Ctrl-C to all; the parent answers, and ends its children. A plain end needs no words of theirs.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for name in ("SIGTERM", "SIGHUP"):
        signal.signal(getattr(signal, name), signal.SIG_DFL)
    if sys.platform == "linux":
        ctypes.CDLL(None, use_errno=True).prctl(_END_WITH_PARENT, signal.SIGKILL, 0, 0, 0)
    if os.getppid() != parent:
        os._exit(1)  # it ended before it could be watched
    # What was there before the fork is never looked through again, which keeps collections quick and memory shared.
    gc.freeze()
