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
from riserkit.drawings.door.readings_sheet import READINGS_TITLE, compose_readings, has_readings_sheet
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
    ids = _SheetIds(door_sheet_id(door.mark), taken_ids(design) if taken is None else taken)
    return _DoorSheets(design, door, findings, info, test, ids).sheets()


def taken_ids(design: Design) -> frozenset[str]:
    """Identifications of all openings' first sheets, without regard to capitals: no other sheet may have one of them."""
    return frozenset(door_sheet_id(d.mark).casefold() for d in design.doors)


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


@dataclass(frozen=True)
class _DoorSheets:
    """A door's detail with all that its sheets are drawn from."""

    design: Design
    door: DoorDesign
    findings: Sequence[Finding]
    info: DrawingInfo
    test: DoorTest
    ids: _SheetIds

    def sheets(self) -> tuple[Sheet, ...]:
        """In order."""
        design, door, test = self.design, self.door, self.test
        draw = partial(draw_door_detail, design, door, self.findings, self.info, test)
        plain = (Sheet(self.ids[0], door_title(door), draw),)
        frames = door_frames(design.site, door)
        if len(frames) > 1 and surely_fits(door.wiring.netlist, self._letters()):
            return self._with_readings() if has_readings_sheet(door, test) else plain
        pages = compose_pages(frames, door_contents(design, door, self.findings, test), self.ids[1])
        if len(pages) == 1:
            return plain
        titles = [door_title(door), *(f"{door_title(door)}, sheet {n}" for n in range(2, len(pages) + 1))]
        return tuple(
            Sheet(self.ids[n], titles[n], partial(self._draw, page, n, titles)) for n, page in enumerate(pages)
        )

    def _with_readings(self) -> tuple[Sheet, ...]:
        """The detail, and its readings on a second sheet."""
        design, door, findings, test = self.design, self.door, self.findings, self.test
        titles = (door_title(door), f"{door_title(door)}, {READINGS_TITLE}")

        def draw(number: int) -> Canvas:
            frames = door_frames(design.site, door)
            if number == 0:
                page = compose(frames, door_contents(design, door, findings, test, self.ids[1]))
            else:
                page = compose_readings(design, door, test, door_banner(design, door, findings), frames)
            return self._draw(page, number, titles)

        return tuple(Sheet(self.ids[n], title, partial(draw, n)) for n, title in enumerate(titles))

    def _draw(self, page: Composed, number: int, titles: Sequence[str]) -> Canvas:
        """A sheet with what its title block says of it: which it is, and of how many."""
        block = replace(
            page.frame.title, number=self.ids[number], title=titles[number], sheet=f"{number + 1} of {len(titles)}"
        )
        placed = replace(page, frame=replace(page.frame, title=block))
        return draw_page(self.design, self.door, placed, self.info)

    def _letters(self) -> int:
        """Of the sentences on its sheets: findings, notes of its circuit, acceptances."""
        told = [
            f.message + f.remedy + (f.acceptance.reason if f.acceptance else "")
            for f in self.findings
            if f.subject == self.door.mark
        ]
        circuit = self.door.wiring.circuit
        return sum(map(len, (*told, *self.test.notes))) + sum(map(len, circuit.notes if circuit else ()))
