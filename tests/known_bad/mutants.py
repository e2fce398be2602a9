"""Makes the lines of `mutants.toml` wrong, one at a time in a copy of the tree, and asks their tests whether they notice.

Run `python -m tests.known_bad.mutants`, or with a part of a file's name to try only its mutants. A line that is not there
exactly once is an error: the code has moved, and the mutant has to move with it.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]


def mutants() -> list[dict[str, Any]]:
    """Every mutant, as the file has it."""
    rows: list[dict[str, Any]] = tomllib.loads(Path(__file__).with_suffix(".toml").read_text("utf-8"))["mutant"]
    return rows


def mutated(mutant: dict[str, Any], tree: Path = ROOT) -> str:
    """The file's text with the line made wrong.

    Raises:
        LookupError: the line is not there, or there more than once.
    """
    text = (tree / mutant["file"]).read_text("utf-8")
    if (count := text.count(mutant["old"])) != 1:
        raise LookupError(f"{mutant['file']} has {mutant['old']!r} {count} times; expected once")
    return text.replace(mutant["old"], mutant["new"])


def survivors(wanted: str = "") -> Iterator[dict[str, Any]]:
    """Mutants that no test of theirs notices, told as they are tried."""
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder) / "tree"
        shutil.copytree(ROOT, tree, ignore=shutil.ignore_patterns(".git", "sample_drawings", ".*_cache", "__pycache__"))
        healthy: set[tuple[str, ...]] = set()
        for place, mutant in enumerate(mutants(), start=1):
            if wanted not in mutant["file"]:
                continue
            if (tests := tuple(mutant["tests"])) not in healthy:
                if not _passes(tree, mutant["tests"]):
                    raise LookupError(f"{tests} fail without a mutant; they cannot tell whether one is noticed")
                healthy.add(tests)
            path = tree / mutant["file"]
            sound = path.read_text("utf-8")
            path.write_text(mutated(mutant, tree), "utf-8")
            alive = _passes(tree, mutant["tests"])
            path.write_text(sound, "utf-8")
            print(f"{place:3} {'ALIVE' if alive else 'killed'} {mutant['file']}: {mutant['new'].strip()!r}", flush=True)
            if alive:
                yield mutant


def _passes(tree: Path, tests: list[str]) -> bool:
    """Whether these tests pass; a test that cannot be found is no test, and an error."""
    paths = os.pathsep.join((str(tree), str(tree / "plugins")))
    run = subprocess.run(
        [sys.executable, "-B", "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests],
        cwd=tree, env={**os.environ, "PYTHONPATH": paths}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if run.returncode not in (0, 1):
        raise LookupError(f"{tests}: {run.stdout[-800:]}{run.stderr[-400:]}")
    return run.returncode == 0


def main() -> None:
    """Try them all; the exit code says whether one lives."""
    alive = list(survivors(*sys.argv[1:2]))
    print(f"{len(mutants())} mutants, {len(alive)} alive")
    sys.exit(bool(alive))


if __name__ == "__main__":
    main()
