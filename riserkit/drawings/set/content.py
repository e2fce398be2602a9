"""What every sheet of a set says, without writing it: by that, an issue tells which sheets have changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from riserkit.checked import Checked
from riserkit.drawings.processes import cores, done_in_order
from riserkit.drawings.revisions.content import sheet_content
from riserkit.drawings.revisions.values import SheetContent
from riserkit.drawings.set.ahead import Ahead, DrawnAhead, draw_ahead
from riserkit.drawings.set.failed import drawn_or_held
from riserkit.drawings.set.plan import SetOptions, own_sheets, plan_set
from riserkit.drawings.typical.gather import typicals

_LEAST_SHARED = 8


@dataclass(frozen=True, slots=True)
class SheetSaid:
    """A sheet and what it says; `on_record` is what its number stays with, where the mark is not in it.

    `subject` of a typical is the openings that it shows. `drawn` is the sheet itself, where it was asked for.
    """

    sheet_id: str
    title: str
    kind: str
    subject: str
    content: SheetContent
    on_record: str = ""
    drawn: DrawnAhead | None = None


def set_content(
    checked: Checked,
    options: SetOptions,
    progress: Callable[[str, int, int], None],
    ahead: Ahead | None = None,
) -> tuple[SheetSaid, ...]:
    """What the sheets of a set say, in the order of the set.

    Args:
        checked: the whole design with its findings.
        options: of the set.
        progress: told of every sheet.
        ahead: draw them for good, see there; the cover waits for all others.

    Raises:
        DrawingError: something cannot be drawn as asked.
    """
    design, jobs = checked.design, plan_set(checked, options)
    gathered = typicals(design, own_sheets(design, options)) if any(job.kind == "typical" for job in jobs) else ()
    shown = {typical.sheet_id: ", ".join(door.mark for door in typical.doors) for typical in gathered}

    def said(number: int) -> SheetSaid:
        job = jobs[number]
        drawn = None
        canvas, failed = drawn_or_held(design, job, options.info)
        content = sheet_content(canvas, is_plan=job.kind == "plan")
        if ahead is not None and not failed and job.kind != "cover":
            drawn = draw_ahead(design.site, job, canvas, content, ahead)
        subject = job.subject or shown.get(job.sheet_id, "")
        return SheetSaid(job.sheet_id, job.title, job.kind, subject, content, job.on_record, drawn)

    found = []
    for sheet in done_in_order(said, range(len(jobs)), cores(), _LEAST_SHARED, "compared"):
        found.append(sheet)
        progress("comparing", len(found), len(jobs))
    return tuple(found)
