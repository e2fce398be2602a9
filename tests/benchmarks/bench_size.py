"""Memory of whole commands on large campuses: every process of the command summed, pages shared between them once.

    python tests/benchmarks/bench_size.py check 10000
    python tests/benchmarks/bench_size.py check 10000 -- --json
    python tests/benchmarks/bench_size.py build 1000 -- --prints pdf
    python tests/benchmarks/bench_size.py stop 1000 -- --prints pdf

Prints processor seconds, the most MiB, and the MiB over time in tenths of the run: flat, or climbing. `stop` sends Ctrl-C to
a build after each of ten times as long and prints how long the answer took. Linux only.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import IO

COMMAND = (sys.executable, "-c", "from riserkit.commands.main import main; main()")
_LOOKED_EACH_S = 1.0


def group_mib(group: int) -> dict[int, float]:
    """Memory of each process of a group by its proportional set size (proc_pid_smaps(5)), by process."""
    mib = {}
    for entry in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            if int(entry.read_text().rpartition(")")[2].split()[2]) == group:
                lines = (entry.parent / "smaps_rollup").read_text().splitlines()
                kib = sum(int(line.split()[1]) for line in lines if line.startswith("Pss:"))
                mib[int(entry.parent.name)] = kib / 1024
    return mib


def started(words: list[str], to: IO[str]) -> subprocess.Popen[str]:
    """A command in a group of its own."""
    return subprocess.Popen([*COMMAND, *words], stdout=to, stderr=subprocess.PIPE, text=True, start_new_session=True)


def measured(words: list[str]) -> Iterator[str]:
    """Run a command to its end and say what it took."""
    seen: list[tuple[float, float, float]] = []
    with tempfile.TemporaryFile("w+") as out:
        child = started(words, out)
        while child.poll() is None:
            mib = group_mib(child.pid)
            own = mib.pop(child.pid, 0.0)
            seen.append((own + sum(mib.values()), own, max(mib.values(), default=0.0)))
            time.sleep(_LOOKED_EACH_S)
        told = child.stderr.read() if child.stderr else ""
        size_mb = out.seek(0, os.SEEK_END) / 1e6
    used = os.times()
    yield f"exit code {child.returncode}, {used.children_user + used.children_system:.0f} s of processor time"
    for of, which in enumerate(("at most", "the command itself at most", "its largest child at most")):
        yield f"{which} {max(mib[of] for mib in seen):.0f} MiB; in tenths of the run: " + ", ".join(
            f"{max((m[of] for m in seen[len(seen) * n // 10 : len(seen) * (n + 1) // 10]), default=0):.0f}"
            for n in range(10)
        )
    yield f"printed {size_mb:.1f} MB; {told.strip().splitlines()[-1:] or ''}"


def stopped(words: list[str], whole_s: float) -> Iterator[str]:
    """Ctrl-C after each tenth of the time that the whole takes."""
    for n in range(1, 11):
        with tempfile.TemporaryFile("w+") as out:
            child = started(words, out)
            try:
                child.wait(whole_s * n / 11)
            except subprocess.TimeoutExpired:
                begun = time.monotonic()
                os.killpg(child.pid, signal.SIGINT)
                child.communicate()
                yield f"after {whole_s * n / 11:.0f} s: answered in {time.monotonic() - begun:.2f} s, code {child.returncode}"
            else:
                yield f"ended before {whole_s * n / 11:.0f} s"


def main() -> None:
    """Measure one command on a campus of so many openings."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("command", choices=["check", "build", "stop"])
    asked.add_argument("openings", type=int)
    asked.add_argument("--seconds", type=float, default=300.0, help="that a whole build takes, for `stop`")
    asked.add_argument("options", nargs="*")
    given = asked.parse_args()
    # A shell's background job ignores Ctrl-C, and what it starts would inherit that.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    sys.path.insert(0, str(Path(__file__).resolve().parent))
    from campus import write_campus

    with tempfile.TemporaryDirectory() as folder:
        site, out = Path(folder) / "site", Path(folder) / "out"
        write_campus(given.openings, site)
        words = ["check", str(site)] if given.command == "check" else ["build", str(site), "-o", str(out)]
        words += given.options
        lines = stopped(words, given.seconds) if given.command == "stop" else measured(words)
        for line in lines:
            print(line, flush=True)


if __name__ == "__main__":
    main()
