"""The drawing set: which sheets there are, in which order, and how each is drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Literal

from riserkit.design import Design, DoorDesign
from riserkit.drawings.canvas import Canvas
from riserkit.drawings.door_detail import DoorSheetOptions, door_sheet_id, draw_door_detail
from riserkit.drawings.errors import DrawingError
from riserkit.drawings.riser import RiserOptions, draw_riser_sheet, plan_riser
from riserkit.findings import Finding

SheetKind = Literal["riser", "door"]


@dataclass(frozen=True, slots=True)
class SetOptions:
    """What is asked of a set.

    Args:
        riser: draw the riser diagram.
        doors: draw the door details: all, none, or those of the marks given.
        digest: of the input, kept in every file.
        dxf_version: R2010, R2013 or R2018.
        block_folders: the site's own blocks, looked in before the shipped ones.
        svg: a picture of each sheet beside its drawing.
        png: the same as PNG, at `png_dpi`.
        png_dpi: dots per inch.
        pdf: one PDF of all sheets, `set.pdf`.
        workers: processes that draw; None takes what the machine has, 1 draws in this one.
    """

    riser: bool = True
    doors: bool | tuple[str, ...] = True
    digest: str = ""
    dxf_version: str = "R2018"
    block_folders: tuple[Path, ...] = ()
    svg: bool = False
    png: bool = False
    png_dpi: float = 150.0
    pdf: bool = False
    workers: int | None = None


@dataclass(frozen=True, slots=True)
class SheetJob:
    """One sheet of a set. Nothing is drawn before `draw` is called, and nothing is kept of it afterwards.

    Args:
        sheet_id: its identification, and the name of its file without `.dxf`.
        title: for lists and bookmarks.
        kind: riser or door.
        subject: the opening's mark of a door detail, empty otherwise.
        draw: draws it anew at each call, always the same.
    """

    sheet_id: str
    title: str
    kind: SheetKind
    subject: str
    draw: Callable[[], Canvas] = field(repr=False, compare=False)

    @property
    def file_name(self) -> str:
        """Of its drawing."""
        return f"{self.sheet_id}.dxf"


def plan_set(design: Design, findings: Sequence[Finding], options: SetOptions | None = None) -> tuple[SheetJob, ...]:
    """The sheets of a set in order: riser first, then the doors in the order of the site's openings.

    Raises:
        DrawingError: a mark asked for is not one of the site's.
        SheetError: no sheet can hold a part of the riser.
    """
    asked = options or SetOptions()
    riser_options = RiserOptions(asked.digest, asked.dxf_version, asked.block_folders)
    riser = plan_riser(design, findings, riser_options) if asked.riser else None
    doors = _doors(design, asked.doors)
    total = (len(riser.sheet_ids) if riser else 0) + len(doors)
    jobs: list[SheetJob] = []
    for number, sheet_id in enumerate(riser.sheet_ids if riser else ()):
        if riser is not None:
            draw = partial(draw_riser_sheet, riser, number, f"{len(jobs) + 1} of {total}")
            jobs.append(SheetJob(sheet_id, riser.title(number), "riser", "", draw))
    about = _by_subject(findings)
    for door in doors:
        door_options = DoorSheetOptions(
            asked.digest, asked.dxf_version, asked.block_folders, f"{len(jobs) + 1} of {total}"
        )
        draw = partial(draw_door_detail, design, door, about.get(door.mark, ()), door_options)
        jobs.append(SheetJob(door_sheet_id(door.mark), f"Door {door.mark}", "door", door.mark, draw))
    return tuple(jobs)


def _doors(design: Design, wanted: bool | tuple[str, ...]) -> tuple[DoorDesign, ...]:
    if isinstance(wanted, bool):
        return design.doors if wanted else ()
    unknown = [mark for mark in wanted if mark not in design.door]
    if unknown:
        raise DrawingError(f"no opening is marked {', '.join(unknown)}; marks are those of the site's openings")
    chosen = set(wanted)
    return tuple(door for door in design.doors if door.mark in chosen)


def _by_subject(findings: Sequence[Finding]) -> Mapping[str, tuple[Finding, ...]]:
    """Findings by what they are about, so that each door is handed its own few."""
    found: dict[str, list[Finding]] = {}
    for finding in findings:
        found.setdefault(finding.subject, []).append(finding)
    return {subject: tuple(few) for subject, few in found.items()}
