"""A command in a process of its own, forked from this one: what it loads is loaded, and circuits proven here are proven there.

Whoever tests how a process starts (its locale, what it imports, with how little memory) starts Python itself.
"""

from __future__ import annotations

import gc
import logging
import os
import selectors
import signal
import subprocess
import sys
import time
import traceback
import warnings
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import IO, NoReturn

from riserkit.commands.main import main


class Child:
    """The command as it runs; like `subprocess.Popen`, as far as tests ask it.

    Args:
        words: of the command line, without `riserkit`.
        before: done in the child first, such as setting a limit.
        env: added to the environment.
        stdout: takes what it prints; without it, `communicate` gives that.
        encoding: of its streams, as PYTHONIOENCODING states it.
    """

    def __init__(
        self, *words: str | Path, before: Callable[[], object] | None = None, env: Mapping[str, str] | None = None,
        stdout: IO[str] | None = None, encoding: str = "utf-8",
    ) -> None:  # fmt: skip
        self.returncode: int | None = None
        self.words, self._encoding = tuple(map(str, words)), encoding
        pipes = [os.pipe(), os.pipe()]
        ends = [stdout.fileno() if stdout else pipes[0][1], pipes[1][1]]
        with warnings.catch_warnings():
            # later Pythons warn of forking beside other threads; of those, tests have none that holds a lock
            warnings.simplefilter("ignore", DeprecationWarning)
            self.pid = os.fork()
        if self.pid == 0:
            _run_and_end(self.words, ends, before, env or {}, encoding)
        for _, end in pipes:
            os.close(end)
        self._told = {read: b"" for read, _ in pipes}

    def wait(self, timeout: float) -> int:
        """The code it ends with, negative for a signal that ended it; TimeoutExpired when it takes longer."""
        end = time.monotonic() + timeout
        while self.returncode is None:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                self.returncode = os.waitstatus_to_exitcode(status)
            elif time.monotonic() > end:
                raise subprocess.TimeoutExpired(self.words, timeout)
            else:
                time.sleep(0.01)
        return self.returncode

    def communicate(self, timeout: float = 120) -> tuple[str, str]:
        """What it prints on both its streams, to its end."""
        end = time.monotonic() + timeout
        with selectors.DefaultSelector() as open_ends:
            for read in self._told:
                open_ends.register(read, selectors.EVENT_READ)
            while open_ends.get_map():
                for key, _ in open_ends.select(max(end - time.monotonic(), 0.01)):
                    more = os.read(key.fd, 65536)
                    self._told[key.fd] += more
                    if not more:
                        open_ends.unregister(key.fd)
                        os.close(key.fd)
                if time.monotonic() > end:
                    os.kill(self.pid, signal.SIGKILL)
                    raise subprocess.TimeoutExpired(self.words, timeout)
        self.wait(max(end - time.monotonic(), 1))
        out, err = (told.decode(self._encoding) for told in self._told.values())
        return out, err


def run(
    *words: str | Path, before: Callable[[], object] | None = None, env: Mapping[str, str] | None = None,
    stdout: IO[str] | None = None, encoding: str = "utf-8",
) -> subprocess.CompletedProcess[str]:  # fmt: skip
    """Run the command to its end, see `Child`."""
    child = Child(*words, before=before, env=env, stdout=stdout, encoding=encoding)
    out, err = child.communicate()
    return subprocess.CompletedProcess(child.words, child.returncode or 0, out, err)


def _run_and_end(
    words: tuple[str, ...], ends: list[int], before: Callable[[], object] | None, env: Mapping[str, str], encoding: str
) -> NoReturn:  # fmt: skip
    """What the child does, as a fresh process of Python would; it never comes back into the tests."""
    code = 70
    try:
        gc.freeze()
        os.setsid()
        for number, end in enumerate(ends, start=1):
            os.dup2(end, number)
        os.closerange(3, max(ends) + 1)
        sys.stdout, sys.stderr = (open(n, "w", encoding=encoding, closefd=False) for n in (1, 2))  # noqa: SIM115
        logging.getLogger().handlers.clear()
        for name in ("SIGTERM", "SIGHUP"):
            signal.signal(getattr(signal, name), signal.SIG_DFL)
        signal.signal(signal.SIGINT, signal.default_int_handler)
        os.environ.update(env)
        if before is not None:
            before()
        main(words, prog_name="riserkit")
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else 1
    except BaseException:  # whatever it is: this is the end of the process
        traceback.print_exc()
    finally:
        try:
            sys.stdout and sys.stdout.flush()
            sys.stderr.flush()
        finally:
            os._exit(code)
