"""Nothing on the sheets of generated sites is illegible, as read back from their files: of a few on each push, of fifty in a sweep.

Every site's riser, plans and cover, the first and the last of each; of every sixth site findings, schedules and details
of doors too, which take longest. Doors come in turn of all the wirings.
`tests/benchmarks/bench_inspect.py` inspects all sheets of all of them.
"""

from __future__ import annotations

import runpy
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from typing import Any

import pytest

from riserkit.checked import Checked
from riserkit.design import design
from riserkit.drawings.legibility.sheet import inspect_sheet
from riserkit.drawings.legibility.values import SheetInspection
from riserkit.drawings.set.job import SheetJob
from riserkit.drawings.set.plan import SetOptions, plan_set
from riserkit.pipeline import work_out
from riserkit.results.site_tables import sheet_tables, site_tables
from tests.sweep import swept

MADE: dict[str, Any] = runpy.run_path(str(Path(__file__).with_name("generated_sites.py")))
SITES: int = MADE["SITES"]
EVERY = 6
PUSH, SLOW = (6, 26), (0, 5, 15, 22)
"""Sites that are drawn each time, and those that are with the slow tests."""
MOST = {"cover": 1, "plan": 2, "riser": 2, "schedule": 1, "door": 1, "typical": 1}


def few(jobs: tuple[SheetJob, ...], kind: str) -> list[SheetJob]:
    """The first and the last, so many as `MOST` says."""
    of_kind = [job for job in jobs if job.kind == kind]
    most = min(MOST[kind], len(of_kind))
    return [of_kind[n * (len(of_kind) - 1) // max(most - 1, 1)] for n in range(most)]


def inspect_few(number: int, folder: str) -> tuple[SheetInspection, ...]:
    """Draw and inspect a few sheets of one site."""
    site = MADE["generated_site"](number)
    whole = number % EVERY == 0
    checked = work_out(site) if whole else Checked(design(site), ())
    doors = MADE["unlike_doors"](checked.design, SITES) if whole else ()
    chosen = (doors[number // EVERY % len(doors)],) if doors else False
    options = SetOptions(doors=chosen, tables=sheet_tables(site_tables(checked)) if whole else ())
    jobs = plan_set(checked, options)
    found = []
    for job in (job for kind in MOST for job in few(jobs, kind)):
        path = Path(folder) / f"{number}-{job.file_name}"
        job.draw().save(path)
        found.append(inspect_sheet(path))
    return tuple(found)


@pytest.fixture(scope="module")
def inspected(tmp_path_factory: pytest.TempPathFactory) -> Callable[[int], tuple[SheetInspection, ...]]:
    """Inspections of a few sheets of the site of a number."""
    return cache(partial(inspect_few, folder=str(tmp_path_factory.mktemp("generated"))))


@swept("number", range(SITES), PUSH, SLOW)
def test_nothing_is_illegible(inspected: Callable[[int], tuple[SheetInspection, ...]], number: int) -> None:
    told = [(v.sheet, v.zone, v.message) for i in inspected(number) for v in i.violations]
    assert told == [], MADE["shape_of"](number)
    assert all(i.unread == () for i in inspected(number))


def test_the_sites_are_what_they_are_said_to_be() -> None:
    """The ends of each range, crowded doors, marks of 24 characters, one closet that holds everything."""
    shapes = [MADE["shape_of"](number) for number in range(SITES)]
    assert (min(s.openings for s in shapes), max(s.openings for s in shapes)) == (5, 400)
    assert (min(s.levels for s in shapes), max(s.levels for s in shapes)) == (1, 30)
    assert (min(s.closets for s in shapes), max(s.closets for s in shapes)) == (1, 12)
    assert any(s.spacing_m < 1 for s in shapes)
    assert max(len(s.mark.format(7)) for s in shapes) == 24
    assert any(s.closets == 1 and s.openings == 400 for s in shapes)


@swept(
    "numbers",
    [PUSH, (*PUSH, *SLOW), tuple(range(SITES))],
    [PUSH],
    [(*PUSH, *SLOW)],
    ids=lambda numbers: str(len(numbers)),
)
def test_the_sheets_have_something_to_inspect(
    inspected: Callable[[int], tuple[SheetInspection, ...]], numbers: tuple[int, ...]
) -> None:
    """Crossings with bridges among them, and every kind of sheet."""
    sheets = [i for number in numbers for i in inspected(number)]
    assert len(sheets) >= 4 * len(numbers)
    assert sum(i.bridged for i in sheets) > 0.4 * len(numbers)
    assert sum(i.crossings for i in sheets) >= sum(i.bridged for i in sheets)
    assert min(i.letters for i in sheets) > 20
