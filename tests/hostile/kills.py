"""Kills at random moments: `python -m tests.hostile.kills --count 20`, over every command that writes or takes long.

After each kill the results are whole, the old or the new ones, what a drafter drew is still there, no process is left after
two seconds, no traceback was printed, and the next run works and leaves nothing beside them but what is not its own.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from riserkit.errors import RiserkitError
from riserkit.model.raw import BROKEN_OFF
from riserkit.record.returns import FieldReturn, read_returns
from riserkit.record.store import read_issues
from riserkit.results.bcf_file import bcf_place
from riserkit.results.folder import look_over
from riserkit.starter.tables import write_starter

COMMAND = (sys.executable, "-c", "from riserkit.commands.main import main; main()")
SIGNALS = (signal.SIGKILL, signal.SIGTERM, signal.SIGINT)
ORPHANS_S = 2.0
STARTS_S = 0.8
"""Until then Python itself starts, which is not ours."""
STRANGERS: Final = ".out.letters.part"
"""A folder of somebody's that is named like one of ours, and is none."""


KINDS: Final[Mapping[str, tuple[str, ...]]] = {
    "plain": ("--prints", "none"),
    "bcf": ("--prints", "none", "--bcf"),
    "overview": (),
    "pdf": ("--prints", "pdf"),
    "png": ("--prints", "png", "--details", "typical"),
    "edits": ("--prints", "none", "--keep-edits"),
    "one door": ("--prints", "none", "--details", "typical", "--door", "101"),
}
"""Ways to build."""
OTHERS: Final = ("new", "issue", "import", "return")
"""Other commands that write, each in its own way."""
FOLDERS: Final = ("field", "page", "lesson", "reference")
"""Commands that write a folder of their own."""
FILES: Final = ("check --bcf",)
"""Commands that write a single file."""
READS: Final = ("check", "inspect", "spice")
"""Commands that write nothing but to the terminal."""
_CABLES: Final = ("1A-A01", "1A-A02", "101-W2", "102-W2")
"""Labels of cables of the starting site."""
NOTE: Final = "notes of the site visit.txt"
"""A drafter's file among the results, where edits are kept."""


def _words(kind: str, place: Path) -> list[str]:
    words: dict[str, list[Path | str]] = {
        "new": ["new", place / "fresh"],
        "issue": ["issue", place / "issued-site", "-o", place / "issued", "--revision", _next_letter(place), "--date",
                  "2026-03-14", "--for", "approval", "--by", "A. Name", "--prints", "none"],
        "import": ["import", place / "list.csv", "--into", place / "imported"],
        "return": ["return", place / "returned-site", place / "lengths.csv", "--take", "lengths.csv"],
        "inspect": ["inspect", place / "out"],
        "check": ["check", place / "site"],
        "spice": ["spice", place / "site", "101"],
        "check --bcf": ["check", place / "site", "--bcf", place / "findings.bcf"],
        **{one: [one, place / "site", "-o", place / one] for one in FOLDERS},
        "reference": ["reference", "-o", place / "reference", "--arrangement", "dry-trigger"],
        **{one: ["build", place / "site", "-o", place / _out(one), *options] for one, options in KINDS.items()},
    }  # fmt: skip
    return [str(word) for word in words[kind]]


def _next_letter(place: Path) -> str:
    return next(x for x in _letters() if not (place / "issued-site" / "issues" / f"{x}.json").exists())


def _letters() -> Iterator[str]:
    """Revisions in their order."""
    letters = "ABCDEFGHJKLMNPRTUVWY"
    yield from letters
    yield from (a + b for a in letters for b in letters)


def _out(kind: str) -> str:
    """Where a kind of build goes: one with a drafter's file in it only where edits are kept."""
    return "edited" if kind == "edits" else "out"


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
    yield from _WRONG.get(kind, _wrong_folder)(place, kind)
    done = subprocess.run([*COMMAND, *_words(kind, place)], capture_output=True, text=True, check=False)
    if done.returncode not in (0, 1):
        yield f"the next run does not work: {done.stderr.strip()[-200:]}"
    shutil.rmtree(place / "fresh", ignore_errors=True)
    if kind == "import":
        yield from _wrong_tables(place, "the next import does not complete it", told=False)
    if kind == "return" and not _said_in(read_returns(place / "returned-site"), place):
        yield "the next return is not on record"
    left = sorted(p.name for p in place.iterdir() if p.name.startswith(".") and p.name != STRANGERS)
    if left:
        yield f"{left[0]} is left behind"
    if not (place / STRANGERS).is_dir():
        yield f"{STRANGERS}, which is not its own, is cleared away"


def _tables(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.glob("*.csv")}


def _wrong_start(place: Path, _kind: str) -> Iterator[str]:
    fresh = place / "fresh"
    if fresh.exists() and len(list(fresh.iterdir())) < len(list((place / "site").iterdir())):
        yield "a starting site that is half there"
    shutil.rmtree(fresh, ignore_errors=True)


def _wrong_import(place: Path, _kind: str) -> Iterator[str]:
    yield from _wrong_tables(place, "a mixture of two imports that nobody says", told=True)


def _wrong_folder(place: Path, kind: str) -> Iterator[str]:
    yield from _wrong_results(place / (kind if kind in FOLDERS else _out(kind)), NOTE if kind == "edits" else "")


def _wrong_archive(place: Path, _kind: str) -> Iterator[str]:
    """Findings of before or of now, told by the digest that the archive carries; where it cannot be told, it is half there."""
    try:
        bcf_place(place / "findings.bcf")
    except RiserkitError as error:
        yield f"findings that are half there: {error}"


def _nothing(_place: Path, _kind: str) -> Iterator[str]:
    return iter(())


def _wrong_tables(place: Path, words: str, *, told: bool) -> Iterator[str]:
    """The tables are those of before or those of the new import; a mixture only where it is told to whoever reads it."""
    now, new = _tables(place / "imported"), _tables(place / "imported-new")
    wanted = [new, _tables(place / "imported-old")] if told else [new]
    if now not in wanted and not (told and (place / "imported" / BROKEN_OFF).is_file()):
        yield words


def _wrong_record(place: Path, _kind: str) -> Iterator[str]:
    try:
        read_issues(place / "issued-site")
    except RiserkitError as error:
        yield f"a record that is half there: {error}"
    yield from _wrong_results(place / "issued", "")


def _wrong_returns(place: Path, _kind: str) -> Iterator[str]:
    """A return is on record whole, or not at all."""
    try:
        returns = read_returns(place / "returned-site")
    except RiserkitError as error:
        yield f"a return that is half there: {error}"
        return
    if any(len(rows) != len(_CABLES) for one in returns for rows in one.rows.values()):
        yield "a return of which rows are lost"


def _said_in(returns: Sequence[FieldReturn], place: Path) -> bool:
    """Whether the last return says what the file says."""
    said = {row.key[0]: row.stated["length_m"] for row in returns[-1].rows.get("lengths", ())} if returns else {}
    rows = [line.split(",") for line in (place / "lengths.csv").read_text("utf-8").splitlines()[1:]]
    return {cable: float(length) for cable, length, *_ in rows} == said


def _new_lengths(place: Path, number: int) -> None:
    """Lengths of another day; each is named as the one that holds, for they differ from those on record."""
    rows = (
        f"{cable},{20 + number / 2 + n / 10:g},A. Name,2026-03-{1 + number % 28:02d}\n"
        for n, cable in enumerate(_CABLES)
    )
    (place / "lengths.csv").write_text("cable,length_m,by,date\n" + "".join(rows), "utf-8")


def _wrong_results(out: Path, note: str) -> Iterator[str]:
    if not out.is_dir():
        yield "the results are out of sight"
        return
    found = look_over(out)
    if set(found.foreign) - {note} or not found.untouched:
        yield "the results are half there"
    if note and not (out / note).is_file():
        yield "a drafter's file is lost"


_WRONG: Final[Mapping[str, Callable[[Path, str], Iterator[str]]]] = {
    "new": _wrong_start, "import": _wrong_import, "issue": _wrong_record, "return": _wrong_returns,
    **dict.fromkeys(READS, _nothing), **dict.fromkeys(FILES, _wrong_archive),
}  # fmt: skip
"""What is looked at after the kill of a command; after that of one that writes a folder, the folder."""


def one(
    number: int, place: Path, chance: random.Random, seconds: Mapping[str, float], only: Sequence[str] = ()
) -> tuple[str, list[str]]:
    """Kill one command, of these kinds where any are named; its kind and what was wrong after it."""
    kind = chance.choice(only or [*KINDS, *KINDS, *OTHERS, *OTHERS, *FOLDERS, *FOLDERS, *FILES, *READS])
    if kind in (*KINDS, *FILES) and chance.random() < 0.4:
        # Sheets drawn from the same would be taken over, and hardly any be drawn when the kill comes.
        stated = place / "site" / "site.csv"
        stated.write_text(stated.read_text("utf-8") + f"# {number}\n", "utf-8")
        text = re.sub("drawn_by,.*", f"drawn_by,Drafter {number}", stated.read_text("utf-8"))
        stated.write_text(text, "utf-8")
    if kind == "import":
        _new_list(place, number)
    if kind == "return":
        _new_lengths(place, number)
    name, to_group = chance.choice(SIGNALS), chance.random() < 0.5
    child = subprocess.Popen(
        [*COMMAND, *_words(kind, place)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        most_s = 1.5 if kind in ("new", "import", *READS) else seconds.get(kind, seconds.get("plain", 4.0))
        child.wait(STARTS_S + chance.random() * most_s)
    except subprocess.TimeoutExpired:
        os.killpg(child.pid, name) if to_group else child.send_signal(name)
    try:
        _, errors = child.communicate(timeout=60)
    except subprocess.TimeoutExpired:
        os.killpg(child.pid, signal.SIGKILL)
        child.communicate()
        return f"{kind}, {name.name} to {'the group' if to_group else 'the parent'}, number {number}", ["it goes on"]
    wrong = list(_wrong(kind, place, child.pid, errors))
    return f"{kind}, {name.name} to {'the group' if to_group else 'the parent'}, number {number}", wrong


def _new_list(place: Path, number: int) -> None:
    """A door list of another version, what an undisturbed import makes of it, and the tables as they are."""
    doors = (f"{mark},Office,{800 + (number * 7 + mark) % 300},{2100 + number % 50}\n" for mark in range(101, 401))
    (place / "list.csv").write_text("Door No.,Room name,Width mm,Height mm\n" + "".join(doors), "utf-8")
    for name in ("imported-old", "imported-new"):
        shutil.rmtree(place / name, ignore_errors=True)
        if (place / "imported").exists():
            shutil.copytree(place / "imported", place / name)
    words = [str(place / "imported-new") if w == str(place / "imported") else w for w in _words("import", place)]
    subprocess.run([*COMMAND, *words], capture_output=True, check=False)


def _prepared(place: Path, kinds: Sequence[str]) -> dict[str, float]:
    """What the commands of these kinds are run on and into; how long each takes, in seconds, where that was measured."""
    for name in ("site", "issued-site", "returned-site"):
        write_starter(place / name)
    (place / STRANGERS).mkdir()
    (place / STRANGERS / "letter.txt").write_text("mine", "utf-8")
    before = {"plain": {*KINDS, "inspect"} - {"edits"}, **{kind: {kind} for kind in ("edits", "issue", *FOLDERS)}}
    before["check --bcf"] = set(FILES)
    seconds = {}
    for kind, of in before.items():
        if of & set(kinds):
            start = time.monotonic()
            subprocess.run([*COMMAND, *_words(kind, place)], capture_output=True, check=False)
            seconds[kind] = time.monotonic() - start
    if "edits" in kinds:
        (place / "edited" / NOTE).write_text("mine", "utf-8")
    return seconds


def main() -> None:
    """Kill as often as asked for and print what was wrong."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--count", type=int, default=20)
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument(
        "--only", nargs="*", default=(), choices=[*KINDS, *OTHERS, *FOLDERS, *FILES, *READS], help="these kinds alone"
    )
    given = asked.parse_args()
    # A shell's background job ignores Ctrl-C, and what it starts would inherit that.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    chance, counted, failed = random.Random(given.seed), Counter[str](), 0
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        seconds = _prepared(place, given.only or [*KINDS, *OTHERS, *FOLDERS, *FILES, *READS])
        for number in range(given.count):
            what, wrong = one(number, place, chance, seconds, given.only)
            counted[what.rpartition(",")[0]] += 1
            failed += bool(wrong)
            for line in wrong:
                print(f"{what}: {line}", flush=True)
            if number % 20 == 19:
                print(f"{number + 1} kills, {failed} not survived", flush=True)
    print(
        f"{given.count} kills, {failed} not survived; by kind and signal:\n  "
        + "\n  ".join(f"{n} {kind}" for kind, n in sorted(counted.items()))
    )


if __name__ == "__main__":
    main()
