"""Processor time of a full build against one into the same results after one door was changed, and how many sheets it wrote.

Time counts that of all processes, so that neither other work on the machine nor the number of its cores is in the ratio. Each build
is the command, in a process of its own, and from byte code, as whatever is installed does: compiled once before the first
build that is timed, and in the time of none, whatever PYTHONDONTWRITEBYTECODE says here.

python tests/benchmarks/bench_rebuild.py 200 1000
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))
from campus import write_campus


def measure(openings: int) -> None:
    """Build, change the lock of one door, build again into the same folder and into a new one."""
    with tempfile.TemporaryDirectory() as name:
        site, out = Path(name) / "site", Path(name) / "out"
        write_campus(openings, site)
        _run("import riserkit.results.build")
        full = _timed(site, out)
        before = _inodes(out)
        _change_one(site / "openings.csv")
        again = _timed(site, out)
        written = sum(inode not in before.values() for inode in _inodes(out).values())
        same = _timed(site, out)
        fresh = Path(name) / "fresh"
        _timed(site, fresh)
        equal = _bytes(out) == _bytes(fresh)
        print(
            f"{openings:6d} openings: full {full:.1f} s; one door changed {again:.1f} s ({again / full:.3f} of full), "
            f"{written} of {len(before)} drawings written; nothing changed {same:.1f} s; bytes as a full build: {equal}"
        )


def _timed(site: Path, out: Path) -> float:
    """Seconds of processor time of a build in a process of its own."""
    before = os.times()
    _run("from riserkit.commands.main import main; main()", "build", str(site), "-o", str(out))
    after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system


def _run(code: str, *words: str) -> None:
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    done = subprocess.run([sys.executable, "-c", code, *words], env=environment, stdout=subprocess.DEVNULL, check=False)
    if done.returncode not in (0, 1):  # 1: the site has faults that are open
        raise SystemExit(f"{code} {' '.join(words)}: exit code {done.returncode}")


def _inodes(out: Path) -> dict[str, int]:
    return {p.name: p.stat().st_ino for p in (out / "drawings").iterdir()}


def _bytes(out: Path) -> dict[str, bytes]:
    return {p.relative_to(out).as_posix(): p.read_bytes() for p in out.rglob("*") if p.is_file()}


def _change_one(path: Path) -> None:
    lines = path.read_text("utf-8").splitlines()
    middle = next(n for n in range(len(lines) // 2, len(lines)) if "strike-12-secure" in lines[n])
    lines[middle] = lines[middle].replace("strike-12-secure", "strike-24-secure")
    path.write_text("\n".join(lines) + "\n", "utf-8")


def main() -> None:
    """Measure every size."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("openings", nargs="*", type=int, default=[200, 1000])
    for openings in parser.parse_args().openings:
        print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")
        measure(openings)


if __name__ == "__main__":
    main()
