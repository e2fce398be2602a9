"""Hand edits on sheets of generated sites, saved as another program saves: nothing is doubled, nothing is lost."""

from __future__ import annotations

import runpy
from collections import Counter
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import pytest

from riserkit.checked import Checked
from riserkit.design import design
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.drawings.dxf.marks import fingerprint
from riserkit.drawings.edits.into import regenerate
from riserkit.drawings.set.job import SheetJob
from riserkit.drawings.set.plan import SetOptions, plan_set
from tests.sweep import swept

MADE: dict[str, Any] = runpy.run_path(str(Path(__file__).parents[1] / "generated_sites.py"))
RENUMBERED = runpy.run_path(str(Path(__file__).with_name("test_three_ways.py")))["renumbered"]
SITES = (0, 10, 14, 22, 31, 42)
KINDS = ("plan", "riser", "typical")


@cache
def _sheets(number: int) -> tuple[SheetJob, ...]:
    """The first of each kind."""
    jobs = plan_set(Checked(design(MADE["generated_site"](number))), SetOptions(cover=False, details="typical"))
    return tuple(next(job for job in jobs if job.kind == kind) for kind in KINDS)


def _drawn(path: Path) -> Counter[tuple[str, str, str]]:
    """Kind, words, and all that can be told apart of everything on the model and the paper, the views left out."""
    doc: Any = read_dxf(path)
    found = []
    for entity in (e for layout in doc.layouts for e in layout if e.dxftype() != "VIEWPORT"):
        words = entity.plain_text() if entity.dxftype() in ("TEXT", "MTEXT") else ""
        found.append((entity.dxftype(), words, fingerprint(entity)))
    return Counter(found)


def _edit(path: Path, chance: Random) -> None:
    """Moves one text, words another anew, deletes a third and a line, and draws something."""
    doc: Any = read_dxf(path)
    space = max((layout for layout in doc.layouts), key=len)
    moved, worded, gone = chance.sample([e for e in space if e.dxftype() == "TEXT" and e.dxf.text.strip()], 3)
    moved.translate(3.0, 1.5, 0)
    worded.dxf.text = "as the drafter has it"
    space.delete_entity(gone)
    space.delete_entity(chance.choice([e for e in space if e.dxftype() in ("LINE", "LWPOLYLINE")]))
    space.add_circle((50, 50), 3)
    space.add_text("drawn by hand", height=2.5).set_placement((60, 60))
    doc.saveas(path)


@swept("number", SITES, (0,))
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.slow
def test_a_rebuild_of_the_same_design_gives_the_edited_sheet_back(tmp_path: Path, number: int, kind: str) -> None:
    """New handles, no class table, other line ends and case, as `renumbered` leaves a file."""
    job = _sheets(number)[KINDS.index(kind)]
    path, after = tmp_path / job.file_name, tmp_path / "after.dxf"
    canvas = job.draw()
    canvas.save(path)
    as_drawn = _drawn(path)
    _edit(path, Random(f"{number} {kind}"))
    RENUMBERED(path)
    edited = _drawn(path)
    assert edited != as_drawn
    told = regenerate(path, canvas, after)
    assert _drawn(after) == edited
    assert told.conflicts == 0
    # and what a build without a drafter gives where nobody edited anything
    canvas.save(path)
    RENUMBERED(path)
    regenerate(path, canvas, after)
    assert _drawn(after) == as_drawn
