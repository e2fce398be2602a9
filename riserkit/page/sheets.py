"""Sheets as pages show them: drawn as for the set, without files between, with doors that can be followed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.prints.areas import SheetPicture, Wanted, areas_of
from riserkit.drawings.prints.svg import TENTHS_PER_MM, svg_body, view_size
from riserkit.drawings.set.failed import drawn_or_held
from riserkit.drawings.set.job import SheetJob
from riserkit.drawings.set.plan import plan_set
from riserkit.page.values import DoorSpot, DoorStatus, SheetBox, SheetView
from riserkit.page.work import PageWork

_FOLLOWED = frozenset({"plan", "riser"})
_SHOWN = frozenset({"plan", "riser", "door", "typical"})
_ROOM_MM = 1.0


def page_jobs(work: PageWork) -> tuple[SheetJob, ...]:
    """The sheets that pages show: all but cover and schedules, which pages have in their own form."""
    if work.sheets:
        return work.sheets
    asked = replace(work.drawn, cover=False, tables=(), tests=work.tests)
    return tuple(job for job in plan_set(work, asked) if job.kind in _SHOWN)


def sheet_view(work: PageWork, job: SheetJob, statuses: Mapping[str, DoorStatus]) -> SheetView:
    """One sheet, drawn.

    Args:
        work: the site.
        job: what draws it; a sheet that cannot be drawn says so.
        statuses: how each door stands.
    """
    canvas, _ = drawn_or_held(work.design, job, work.drawn.info)
    picture = areas_of(canvas, _door_of(job, statuses))
    width, height = view_size(picture.page)
    marks = job.marks or ((job.subject,) if job.subject else tuple(sorted(picture.areas)))
    held = tuple((mark, work.holds.held[mark].words) for mark in marks if mark in work.holds)
    words = f" Doors on HOLD: {', '.join(mark for mark, _ in held)}." if held else ""
    return SheetView(
        job.sheet_id, job.title, width, height, svg_body(picture.page), tuple(_spots(work, picture, statuses, height)),
        held, f"Sheet {job.sheet_id}, {job.title}.{words}",
    )  # fmt: skip


def _door_of(job: SheetJob, statuses: Mapping[str, DoorStatus]) -> Wanted:
    if job.kind not in _FOLLOWED:
        return lambda _id, _kind: ""

    def door(model_id: str, drawn_as: str) -> str:
        thing, _, name = model_id.partition(":")
        # on the riser a door is one symbol; what else is said of it there are flags and cells of tables
        followed = job.kind == "plan" or drawn_as == "INSERT"
        return name if followed and thing == "opening" and name in statuses else ""

    return door


def _spots(
    work: PageWork, picture: SheetPicture, statuses: Mapping[str, DoorStatus], height: int
) -> Sequence[DoorSpot]:
    found = []
    for door in work.design.doors:
        boxes = picture.areas.get(door.mark, ())
        if boxes:
            spots = tuple(_spot(box, height) for box in boxes)
            found.append(DoorSpot(door.mark, door.opening.name, statuses[door.mark], spots))
    return found


def _spot(box: Rect, height: int) -> SheetBox:
    x0, y0, x1, y1 = (round(v * TENTHS_PER_MM) for v in box.inset(-_ROOM_MM))
    return SheetBox(x0, height - y1, x1 - x0, y1 - y0)
