"""Kills at random moments: `python -m tests.hostile.kills --count 20`, over `build` (plain, prints, edits kept) and `new`.

After each kill the results are whole, the old or the new ones, no process is left after two seconds, no traceback was
printed, and the next run works and leaves nothing beside them.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from riserkit.results.folder import look_over
from riserkit.starter.tables import write_starter

COMMAND = (sys.executable, "-c", "from riserkit.commands.main import main; main()")
SIGNALS = (signal.SIGKILL, signal.SIGTERM, signal.SIGINT)
ORPHANS_S = 2.0


def _words(kind: str, place: Path) -> list[str]:
    if kind == "new":
        return ["new", str(place / "fresh")]
    more = {"build": [], "prints": ["--prints", "pdf"], "edits": ["--keep-edits"]}[kind]
    return ["build", str(place / "site"), "-o", str(place / "out"), *more]


def _group_lives(group: int) -> bool:
    for entry in Path("/proc").glob("[0-9]*/stat"):
        try:
            state, _parent, its_group = entry.read_text().rpartition(")")[2].split()[:3]
        except OSError:
            continue
        if int(its_group) == group and state not in "ZX":
            return True
    return False


def _wrong(kind: str, place: Path, group: int, errors: str) -> Iterator[str]:
    end = time.monotonic() + ORPHANS_S
    while _group_lives(group) and time.monotonic() < end:
        time.sleep(0.05)
    if _group_lives(group):
        yield f"a process is left {ORPHANS_S:g} s after"
        os.killpg(group, signal.SIGKILL)
    if "Traceback" in errors:
        yield "a traceback"
    if kind == "new":
        fresh = place / "fresh"
        if fresh.exists() and len(list(fresh.iterdir())) < len(list((place / "site").iterdir())):
            yield "a starting site that is half there"
        return
    if not (place / "out").is_dir():
        yield "the results are out of sight"
    elif look_over(place / "out").foreign or not look_over(place / "out").untouched:
        yield "the results are half there"
    done = subprocess.run([*COMMAND, *_words(kind, place)], capture_output=True, text=True, check=False)
    if done.returncode not in (0, 1):
        yield f"the next run does not work: {done.stderr.strip()[-200:]}"
    left = sorted(p.name for p in place.iterdir() if p.name.startswith(".out"))
    if left:
        yield f"{left[0]} is left behind"


def one(number: int, place: Path, chance: random.Random, seconds: float) -> tuple[str, list[str]]:
    """Kill one command; its kind and what was wrong after it."""
    kind = chance.choice(["build", "prints", "edits", "new"])
    name, to_group = chance.choice(SIGNALS), chance.random() < 0.5
    child = subprocess.Popen(
        [*COMMAND, *_words(kind, place)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        # Not while Python itself starts, which is not ours.
        child.wait(0.8 + chance.random() * seconds)
    except subprocess.TimeoutExpired:
        os.killpg(child.pid, name) if to_group else child.send_signal(name)
    _, errors = child.communicate(timeout=60)
    wrong = list(_wrong(kind, place, child.pid, errors))
    return f"{kind}, {name.name} to {'the group' if to_group else 'the parent'}, number {number}", wrong


def main() -> None:
    """Kill as often as asked for and print what was wrong."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--count", type=int, default=20)
    asked.add_argument("--seed", type=int, default=0)
    given = asked.parse_args()
    chance, counted, failed = random.Random(given.seed), Counter[str](), 0
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        write_starter(place / "site")
        start = time.monotonic()
        subprocess.run([*COMMAND, *_words("build", place)], capture_output=True, check=False)
        seconds = time.monotonic() - start
        for number in range(given.count):
            what, wrong = one(number, place, chance, seconds)
            counted[what.partition(",")[0]] += 1
            failed += bool(wrong)
            for line in wrong:
                print(f"{what}: {line}", flush=True)
    print(
        f"{given.count} kills ({', '.join(f'{n} {kind}' for kind, n in sorted(counted.items()))}), {failed} not survived"
    )


if __name__ == "__main__":
    main()
