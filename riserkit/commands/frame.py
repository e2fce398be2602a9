"""What every command shares: its options, its exit code, and what becomes of an error."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import sys
import threading
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from pathlib import Path
from types import FrameType
from typing import Final, NoReturn, ParamSpec

import click

from riserkit.errors import RiserkitError, visible
from riserkit.model.problems import shorten

P = ParamSpec("P")


CLEAN, FINDINGS, WRONG_USE, FAILED = 0, 1, 2, 3
_MOST_WORDS = 200
_MOST_LINE = 1500
_LONG_WORD = re.compile(r"\S{250,}")
"""Longer than the names of files usually are with their folders."""


class _PathArgument(click.Path):
    """A file or folder. Empty text, as an unset variable of a shell gives it, would mean the current folder."""

    name = "path"

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        """The path as stated."""
        if value == "":
            self.fail("expected a name; this is empty", param, ctx)
        return Path(str(super().convert(value, param, ctx)))  # type: ignore[arg-type]


PLACE = _PathArgument()


def answers(command: Callable[P, int]) -> Callable[P, None]:
    """Turn a command's result into an exit code, and a mistake of the user's into one readable error."""

    @wraps(command)
    def run(*args: P.args, **named: P.kwargs) -> None:
        _any_encoding()
        try:
            with stoppable():
                code = command(*args, **named)
                _flush()
        except RiserkitError as error:
            click.echo(f"riserkit: {bounded(str(error))}", err=True)
            code = WRONG_USE
        except BrokenPipeError:
            # The reader of our output has gone, as with `| head`: nobody is left to read it.
            sys.stdout = None
            code = CLEAN
        except OSError as error:
            # Such as a full disk under the text that we print; what the disk did not take is not tried again.
            sys.stdout = None
            at = f" ({error.filename})" if error.filename else ""
            click.echo(visible(f"riserkit: cannot go on: {error.strerror or error}{at}"), err=True)
            code = WRONG_USE
        except KeyboardInterrupt as stop:
            _end_stopped(stop)
        except (Exception, SystemExit) as error:  # nothing below may end a command as one that found nothing
            if isinstance(error.__cause__, KeyboardInterrupt):
                _end_stopped(error.__cause__)  # while a class is made, Python 3.11 wraps whatever is raised
            if isinstance(error.__context__, BrokenPipeError):
                sys.exit(
                    CLEAN
                )  # as above, seen by what sets our tables for the console, which points stdout to nowhere
            # A fault of ours, with all that finding it takes; never the code of a site with open errors.
            click.echo(visible("".join(traceback.format_exception(error))), err=True, nl=False)
            words = visible(" ".join(f"{type(error).__name__}: {error}".split())[:_MOST_WORDS])
            click.echo(f"riserkit: failed ({words}); this is a fault of riserkit, please report it", err=True)
            code = FAILED
        sys.exit(code)

    return run


def _end_stopped(stop: KeyboardInterrupt) -> NoReturn:
    """Say so and end, without taking a large site apart object by object, which takes seconds; what was begun is cleared away."""
    # Whoever presses it twice is answered once.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    click.echo("riserkit: stopped before the end", err=True)
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError, ValueError, AttributeError):
            stream.flush()
    os._exit(exit_code(stop))


def bounded(text: str) -> str:
    """Text whose words and lines end: what was typed is repeated in it, and may be as long as a file."""
    lines = (_LONG_WORD.sub(lambda word: shorten(word.group()), line) for line in text.split("\n"))
    return "\n".join(line if len(line) <= _MOST_LINE else f"{line[:_MOST_LINE]}..." for line in lines)


def _any_encoding() -> None:
    """From here on a stream that cannot encode a sign writes it out instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")


def _flush() -> None:
    """Fail here, where it can be reported, and not while Python ends."""
    if sys.stdout is not None:
        sys.stdout.flush()


def reading_options(mapping: Path | None) -> dict[str, str]:
    """Options for the reader of a site."""
    meta = click.get_current_context().meta
    stated = {"mapping": str(mapping or ""), "reader": meta.get("reader", ""), "outside": meta.get("outside", "")}
    return {name: value for name, value in stated.items() if value}


_READER = click.option(
    "--reader", metavar="PLUGIN", expose_value=False,
    callback=lambda ctx, _, value: ctx.meta.update(reader=value or ""),
    help="Plugin that reads SITE, where more than one can.",
)  # fmt: skip


_OUTSIDE = click.option(
    "--outside", is_flag=True, expose_value=False,
    callback=lambda ctx, _, value: ctx.meta.update(outside="yes" if value else ""),
    help="Let SITE name tables outside its folder, by its mapping file or by links.",
)  # fmt: skip


_ONLY_MAPPING = click.option(
    "--mapping",
    type=PLACE,
    help="Mapping file for tables with other column names; default SITE/mapping.toml.",
)


def MAPPING(command: Callable[..., None]) -> Callable[..., None]:  # noqa: N802 - used like the other options
    """The options of reading: mapping file, reader, and files outside the site."""
    return _ONLY_MAPPING(_READER(_OUTSIDE(command)))


AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


FIELD = click.option("--field", is_flag=True, help="Write papers for the crew, and the workbook, too.")
AS_BUILT = click.option(
    "--as-built", is_flag=True, help="As it was built: with everything that has come back (riserkit return)."
)


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
