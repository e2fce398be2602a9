"""Which sheets an opening's detail takes: T-501 and its mark; T-501-MARK-2 and on for what one sheet cannot hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import count

from riserkit.design import Design, DoorDesign
from riserkit.drawings.door.detail import (
    door_banner,
    door_contents,
    door_frames,
    door_title,
    draw_door_detail,
    draw_page,
)
from riserkit.drawings.door.pages import compose_pages, surely_fits
from riserkit.drawings.door.readings import NO_TEST, DoorTest
from riserkit.drawings.door.readings_sheet import READINGS_TITLE, compose_readings, has_readings_sheet, titled
from riserkit.drawings.door.sheet import Composed, compose
from riserkit.drawings.dxf.canvas import NO_INFO, Canvas, DrawingInfo
from riserkit.drawings.setting.frames import Sheet
from riserkit.findings import Finding
from riserkit.standards.sheets import door_sheet_id


def plan_door_sheets(
    design: Design,
    door: DoorDesign,
    findings: Sequence[Finding],
    info: DrawingInfo = NO_INFO,
    test: DoorTest = NO_TEST,
    taken: frozenset[str] | None = None,
) -> tuple[Sheet, ...]:
    """The sheets of one opening, in order. Only details that may be too large for a sheet are laid out to know it.

    Args:
        design: the whole design.
        door: the opening, one of `design.doors`.
        findings: all findings, or those of this opening.
        info: see there.
        test: what is measured at the door.
        taken: `taken_ids` of the design, where they are known: a set for each opening grows with their square.

    Raises:
        SheetError: a single table of it is larger than the largest sheet, or the site asks for an unknown size.
    """
    sheet_id, title = door_sheet_id(door.mark), door_title(door)
    plain = (Sheet(sheet_id, title, partial(draw_door_detail, design, door, findings, info, test)),)
    ids = _SheetIds(sheet_id, taken_ids(design) if taken is None else taken)
    return _laid_out(design, door, findings, info, test, plain, ids)


def taken_ids(design: Design) -> frozenset[str]:
    """Identifications of all openings' first sheets, without regard to capitals: no other sheet may have one of them."""
    return frozenset(door_sheet_id(d.mark).casefold() for d in design.doors)


def _laid_out(
    design: Design,
    door: DoorDesign,
    findings: Sequence[Finding],
    info: DrawingInfo,
    test: DoorTest,
    plain: tuple[Sheet, ...],
    ids: _SheetIds,
) -> tuple[Sheet, ...]:
    frames = door_frames(design.site, door)
    if len(frames) > 1 and surely_fits(door.wiring.netlist, _letters(door, findings, test)):
        return _with_readings(design, door, findings, info, test, ids) if has_readings_sheet(door, test) else plain
    contents = door_contents(design, door, findings, test)
    pages = compose_pages(frames, contents, ids[1])
    if len(pages) == 1:
        return plain
    return tuple(_sheet(design, door, page, n, len(pages), ids[n], info) for n, page in enumerate(pages))


def _with_readings(
    design: Design, door: DoorDesign, findings: Sequence[Finding], info: DrawingInfo, test: DoorTest, ids: _SheetIds
) -> tuple[Sheet, ...]:
    """The detail, and its readings on a second sheet."""
    title = door_title(door)
    titles = title, f"{title}, {READINGS_TITLE}"

    def draw(number: int) -> Canvas:
        frames = door_frames(design.site, door)
        if number == 0:
            page = compose(frames, door_contents(design, door, findings, test, ids[1]))
        else:
            page = compose_readings(design, door, test, door_banner(design, door, findings), frames)
        return draw_page(design, door, titled(page, ids[number], titles[number], number + 1), info)

    return tuple(Sheet(ids[n], told, partial(draw, n)) for n, told in enumerate(titles))


@dataclass(frozen=True)
class _SheetIds:
    """Identifications of an opening's sheets: `-2` for the second, `--2` where an opening is marked so itself."""

    first: str
    taken: frozenset[str]

    def __getitem__(self, number: int) -> str:
        if number == 0:
            return self.first
        ids = (f"{self.first}{'-' * dashes}{number + 1}" for dashes in count(1))
        return next(sheet_id for sheet_id in ids if sheet_id.casefold() not in self.taken)


def _sheet(
    design: Design, door: DoorDesign, page: Composed, number: int, count: int, sheet_id: str, info: DrawingInfo
) -> Sheet:
    title = door_title(door) + (f", sheet {number + 1}" if number else "")
    block = replace(page.frame.title, number=sheet_id, title=title, sheet=f"{number + 1} of {count}")
    placed = replace(page, frame=replace(page.frame, title=block))
    return Sheet(sheet_id, title, partial(draw_page, design, door, placed, info))


def _letters(door: DoorDesign, findings: Sequence[Finding], test: DoorTest) -> int:
    """Of the sentences on its sheets: findings, notes of its circuit, acceptances."""
    told = [
        f.message + f.remedy + (f.acceptance.reason if f.acceptance else "") for f in findings if f.subject == door.mark
    ]
    circuit = door.wiring.circuit
    return sum(map(len, (*told, *test.notes))) + sum(map(len, circuit.notes if circuit else ()))
