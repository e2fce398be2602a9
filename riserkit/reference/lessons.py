"""Lessons on the reference arrangements, for whoever teaches without a site."""

from __future__ import annotations

import random
from itertools import groupby
from math import ceil
from pathlib import Path
from typing import Final

from riserkit.design import every_arrangement
from riserkit.drawings.door.notes import cautions
from riserkit.pipeline import Progress, no_progress, plugin_arrangements, work_out
from riserkit.reference.doors import ReferenceDoor, site_of
from riserkit.reference.judged import doors_tried, offered, rule_errors
from riserkit.reference.words import CAUTION, HEADING
from riserkit.results.folder import own_folder
from riserkit.results.lesson_site import write_lessons
from riserkit.wiring.arrangement import DoorCircuit

_LESSONS_OF_A_DOOR: Final = 3
_TRIED_FOR_ONE: Final = 8
"""So many variants are drawn for each door wanted: most arrangements do not serve most variants."""


def lesson_reference(output: Path, count: int, seed: int, progress: Progress = no_progress) -> int:
    """Write lessons of reference doors, the same for the same seed; marks are those of `riserkit reference`.

    Args:
        output: the folder; replaced when all in it is as riserkit wrote it, and it holds no drawings.
        count: how many.
        seed: of what is drawn.
        progress: told of every step.

    Returns:
        How many lessons there are, which may be fewer.

    Raises:
        RiserkitError: the folder cannot be written.
    """
    looked = own_folder(output)
    doors, cautioned = drawn_doors(ceil(count / _LESSONS_OF_A_DOOR), seed, progress)
    return write_lessons(looked, doors, ("Reference doors", (f"{HEADING}. {CAUTION}", *cautioned)), count, seed)


def drawn_doors(
    count: int, seed: int, progress: Progress = no_progress
) -> tuple[list[tuple[str, DoorCircuit | None]], tuple[str, ...]]:
    """So many reference doors at most that keep every rule, each with its name, and the cautions that go with them."""
    more = plugin_arrangements()
    every = every_arrangement(more)
    title = {one.name: one.title for one in every}
    tried = doors_tried(every, every)
    variants = [list(group) for _, group in groupby(tried, key=lambda door: door.mark.partition(".")[0])]
    random.Random(seed).shuffle(variants)
    some: list[ReferenceDoor] = [door for group in variants[: count * _TRIED_FOR_ONE] for door in group]
    progress("wiring", 0, 1)
    suitable = [one.suitable[0] for one in offered(some, more) if one.suitable][: 2 * count]
    checked = work_out(site_of(suitable), progress=progress)
    failing = rule_errors(checked)
    sound = [door for door in suitable if door.mark not in failing][:count]
    named = [
        (f"{d.mark}: {title[d.arrangement]}, {d.variant.name}", checked.design.door[d.mark].wiring.circuit)
        for d in sound
    ]
    return named, cautions(checked.design)
