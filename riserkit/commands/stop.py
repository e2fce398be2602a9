"""Being stopped from outside: whoever stops a command finds nothing half done, and a code that says so."""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Final, NoReturn

_ENDED: Final = tuple(getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name))
_BASE: Final = 128
"""A shell's code of a command ended by a signal is this and the signal's number (POSIX asks for more than 128)."""

_AGAIN_S: Final = 0.05


class Stopped(KeyboardInterrupt):
    """A signal asked the command to end."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


def exit_code(stop: KeyboardInterrupt) -> int:
    """The code that tells a shell by which signal a command ended: 130 for Ctrl-C, 143 for a plain kill."""
    return _BASE + (stop.number if isinstance(stop, Stopped) else signal.SIGINT)


@contextmanager
def stoppable() -> Iterator[None]:
    """While it lasts, SIGTERM and SIGHUP end the work as Ctrl-C does, so that what was begun is cleared away."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = {number: signal.getsignal(number) for number in _ENDED}
    # A signal that is ignored stays so: nohup means it.
    caught = [number for number, handler in before.items() if handler == signal.SIG_DFL]
    for number in caught:
        signal.signal(number, _stop)
    told, sys.unraisablehook = sys.unraisablehook, _once_more
    try:
        yield
    finally:
        sys.unraisablehook = told
        for number in caught:
            signal.signal(number, signal.SIG_DFL)


def _once_more(lost: sys.UnraisableHookArgs) -> None:
    """A stop that came inside a callback of Python's own, such as that of an import's lock, is lost there; it comes again."""
    stop = lost.exc_value
    if not isinstance(stop, KeyboardInterrupt) or not hasattr(signal, "setitimer"):
        sys.__unraisablehook__(lost)
        return
    number = stop.number if isinstance(stop, Stopped) else signal.SIGINT
    signal.signal(signal.SIGALRM, lambda _number, frame: _stop(number, frame))
    signal.setitimer(signal.ITIMER_REAL, _AGAIN_S)


def _stop(number: int, _frame: FrameType | None) -> NoReturn:
    raise Stopped(number)
