"""Lessons of a site in a folder of their own: what is asked, and the answers apart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from riserkit.bench.paper import paper_lessons
from riserkit.bench.topology import has_bench
from riserkit.drawings.door.notes import cautions
from riserkit.errors import RiserkitError
from riserkit.page.render import lessons_html
from riserkit.page.values import PageFrame
from riserkit.page.write import write_assets
from riserkit.pipeline import design_site, read_to_work
from riserkit.results.folder import Found, own_folder, whole_folder
from riserkit.version import __version__
from riserkit.wiring.arrangement import DoorCircuit

LESSONS, ANSWERS = "lessons.html", "answers.html"
_CAUTIONS: Final = (
    "Work on mains supplies is for those licensed for it, and no lesson asks for it. Ohms only with power and batteries off.",
    "While a door is being tested, see that people can get out.",
)


def lesson_site(source: Path, output: Path, count: int, seed: int, reading: Mapping[str, str] | None = None) -> int:
    """Read a site and write lessons of its doors.

    Args:
        source: where the site stands.
        output: the folder; replaced when all in it is as riserkit wrote it, and it holds no drawings.
        count: how many.
        seed: of what is drawn; the same for the same lessons.
        reading: settings of the input format.

    Returns:
        How many lessons there are, which may be fewer.

    Raises:
        RiserkitError: the input has problems, no door has a circuit, or the folder cannot be written.
    """
    looked = own_folder(output)
    site, _ = read_to_work(source, reading or {}, as_built=False)
    design = design_site(site)
    circuits = [(d.mark, d.wiring.circuit) for d in design.doors]
    name = site.info.project
    return write_lessons(looked, circuits, (name, cautions(design)), count, seed)


def write_lessons(
    looked: tuple[Path, Found],
    circuits: Sequence[tuple[str, DoorCircuit | None]],
    heading: tuple[str, Sequence[str]],
    count: int,
    seed: int,
) -> int:
    """Write lessons of these doors.

    Args:
        looked: the folder, looked over.
        circuits: name and circuit of each door.
        heading: what the doors are of, and the cautions that go with it.
        count: how many.
        seed: of what is drawn.

    Returns:
        How many there are.

    Raises:
        RiserkitError: no door has a circuit that can be computed, or the folder cannot be written.
    """
    doors = [(mark, circuit) for mark, circuit in circuits if circuit is not None and has_bench(circuit)]
    lessons = paper_lessons(doors, count, seed)
    if not lessons:
        raise RiserkitError("no lesson can be made: no door has a circuit that can be computed")
    name, more = heading
    frame = PageFrame(name, f"Lessons, seed {seed}", (*_CAUTIONS, *more), written_by=f"riserkit {__version__}")
    target, found = looked
    with whole_folder(target, None, found) as folder:
        write_assets(folder)
        for file, title, answers in ((LESSONS, "Lessons", False), (ANSWERS, "Answers", True)):
            (folder / file).write_text(lessons_html(lessons, title, frame, answers=answers), "utf-8")
    return len(lessons)
