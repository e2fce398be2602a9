"""The drawing set: which sheets there are, in which order, and how each is drawn.

Sheets stand in the order of their numbers: T-001 cover, T-101 plans, T-501 door details, T-511 to T-599 typical
details without T-521, T-521 counterexamples, T-601 riser, T-651 schedules.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Literal

from riserkit.design import Design, DoorDesign
from riserkit.drawings.cover.sheets import CoverContents, draw_cover_sheet, plan_cover
from riserkit.drawings.cover.values import IndexEntry
from riserkit.drawings.door.counterexample import counterexample_title, draw_counterexample
from riserkit.drawings.door.sheets import plan_door_sheets
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.errors import DrawingError
from riserkit.drawings.edits.inputs import digest_of, door_inputs, set_inputs, whole_inputs
from riserkit.drawings.holds import drawn_failing, read_holds
from riserkit.drawings.plan.sheets import FloorPlans, draw_plan_sheet, plan_floor_plans
from riserkit.drawings.riser.sheets import Riser, draw_riser_sheet, plan_riser
from riserkit.drawings.schedules.sheets import SheetTable, draw_schedule_sheet, plan_schedules
from riserkit.drawings.setting.frames import SheetOptions, failure_sheet_id
from riserkit.drawings.typical.sheets import plan_typicals
from riserkit.findings import Finding, at_openings
from riserkit.quantities.natural_order import natural_order

SheetKind = Literal["cover", "plan", "door", "typical", "riser", "schedule"]
Details = Literal["each", "typical", "both"]


@dataclass(frozen=True, slots=True)
class SetOptions:
    """What is asked of a set.

    Args:
        cover: draw the cover with the index of all sheets.
        plans: draw a plan of every level that has anything of ours.
        riser: draw the riser diagram.
        doors: draw door details: own sheets of all, none at all, or own sheets of the marks given.
        details: a sheet for each opening, one for all that are wired alike (`typical`), or both; marks given in `doors`
            have their own sheets with `typical` too.
        tables: schedules to be drawn on sheets of their own.
        digest: of the input, kept in every file.
        dxf_version: R2010, R2013 or R2018.
        block_folders: the site's own blocks, looked in before the shipped ones.
        svg: a picture of each sheet beside its drawing.
        png: the same as PNG, at `png_dpi`.
        png_dpi: dots per inch.
        pdf: one PDF of all sheets, `set.pdf`.
        overview: one PDF of cover, plans and riser, `overview.pdf`.
        workers: processes that draw; None takes what the machine has, 1 draws in this one.
        inspects: inspect each sheet as it has been drawn, which saves reading it back.
    """

    cover: bool = True
    plans: bool = True
    riser: bool = True
    doors: bool | tuple[str, ...] = True
    details: Details = "both"
    tables: tuple[SheetTable, ...] = ()
    digest: str = ""
    dxf_version: str = "R2018"
    block_folders: tuple[Path, ...] = ()
    svg: bool = False
    png: bool = False
    png_dpi: float = 150.0
    pdf: bool = False
    overview: bool = False
    workers: int | None = None
    inspects: bool = False


@dataclass(frozen=True, slots=True)
class SheetJob:
    """One sheet of a set. Nothing is drawn before `draw` is called, and nothing is kept of it afterwards.

    Args:
        sheet_id: its identification, and the name of its file without `.dxf`.
        title: for lists and bookmarks.
        kind: cover, plan, door, typical, riser or schedule.
        subject: the opening's mark of a door detail or a counterexample, empty otherwise.
        draw: draws it anew at each call, always the same.
        group: door details of one level, which the index may list together.
        inputs: a digest of all that it is drawn from; empty when that is not known.
        alike: equal for sheets whose wiring is laid out alike, so that one process draws them and lays it out once.
    """

    sheet_id: str
    title: str
    kind: SheetKind
    subject: str
    draw: Callable[[], Canvas] = field(repr=False, compare=False)
    group: str = ""
    inputs: str = ""
    alike: Hashable = ""

    @property
    def file_name(self) -> str:
        """Of its drawing."""
        return f"{self.sheet_id}.dxf"


def plan_set(design: Design, findings: Sequence[Finding], options: SetOptions | None = None) -> tuple[SheetJob, ...]:
    """The sheets of a set in the order of their numbers, doors in the order of their marks, numbers in them as numbers.

    Raises:
        DrawingError: a mark asked for is not one of the site's.
        SheetError: no sheet can hold a part of the riser, or of a schedule.
    """
    asked = options or SetOptions()
    wanted = asked.doors if asked.details != "typical" or asked.doors is not True else False
    doors = tuple(sorted(_doors(design, wanted), key=_mark_order))
    given = SheetOptions(asked.digest, asked.dxf_version, asked.block_folders)
    plans = plan_floor_plans(design, given, findings) if asked.plans else None
    riser = plan_riser(design, findings, given) if asked.riser else None
    digests = _digests(design, findings, asked)
    drafts = [
        *_plan_drafts(plans),
        *sorted(
            [
                *_door_drafts(design, findings, doors, asked, digests),
                *_counterexample_drafts(design, _of_details(design, doors, asked), asked, digests, findings),
                *_typical_drafts(design, findings, asked, digests),
            ],
            key=_number,
        ),
        *_riser_drafts(riser),
        *_schedule_drafts(design, asked, given),
    ]
    if asked.cover:
        drafts[:0] = _cover_drafts(design, findings, drafts, plans, given)
    whole = whole_inputs(design, findings, _common(design, asked) + repr((asked, [d.sheet_id for d in drafts])))
    # no sheet says how many there are: one door more would change every sheet of the set
    return tuple(replace(draft, inputs=draft.inputs or whole) for draft in drafts)


def _common(design: Design, asked: SetOptions) -> str:
    return set_inputs(design, asked.dxf_version, asked.block_folders, asked.digest)


def _cover_drafts(
    design: Design,
    findings: Sequence[Finding],
    drafts: Sequence[SheetJob],
    plans: FloorPlans | None,
    options: SheetOptions,
) -> list[SheetJob]:
    kinds, holds = {draft.kind for draft in drafts}, read_holds(design, findings)
    pages = plans.pages if plans else None
    contents = CoverContents(
        sheets=tuple(IndexEntry(d.sheet_id, d.title, d.group, d.subject if d.subject in holds else "") for d in drafts),
        levels=plans.levels if plans else (),
        scale=pages.scale if pages else None,
        riser="riser" in kinds,
        doors=bool(kinds & {"door", "typical"}),
    )
    cover = plan_cover(design, findings, contents, options)
    return [
        SheetJob(sheet_id, cover.title(n), "cover", "", partial(draw_cover_sheet, cover, n))
        for n, sheet_id in enumerate(cover.sheet_ids)
    ]


def _plan_drafts(plans: FloorPlans | None) -> list[SheetJob]:
    if plans is None:
        return []
    return [
        SheetJob(sheet_id, plans.title(n), "plan", "", partial(draw_plan_sheet, plans, n))
        for n, sheet_id in enumerate(plans.sheet_ids)
    ]


def _riser_drafts(riser: Riser | None) -> list[SheetJob]:
    if riser is None:
        return []
    return [
        SheetJob(sheet_id, riser.title(n), "riser", "", partial(draw_riser_sheet, riser, n))
        for n, sheet_id in enumerate(riser.sheet_ids)
    ]


def _schedule_drafts(design: Design, asked: SetOptions, options: SheetOptions) -> list[SheetJob]:
    schedules = plan_schedules(design.site, asked.tables, options)
    common = _common(design, asked)
    return [
        SheetJob(
            sheet_id, schedules.title(n), "schedule", "", partial(draw_schedule_sheet, schedules, n),
            inputs=digest_of([common, sheet_id, schedules.title(n), repr(schedules.frame), schedules.shown(n)]),
        )
        for n, sheet_id in enumerate(schedules.sheet_ids)
    ]  # fmt: skip


def _door_drafts(
    design: Design,
    findings: Sequence[Finding],
    doors: Sequence[DoorDesign],
    asked: SetOptions,
    digests: Mapping[str, str],
) -> list[SheetJob]:
    about = _by_subject(findings)
    options = SheetOptions(asked.digest, asked.dxf_version, asked.block_folders)
    levels = {level.id: level.name or level.id for level in design.site.levels}
    drafts = list[SheetJob]()
    for door in doors:
        mine = about.get(door.mark, ())
        group = f"Door details, {levels[door.opening.level]}"
        sheets = plan_door_sheets(design, door, mine, options)
        inputs = digests[door.mark]
        if len(sheets) > 1:
            inputs = digest_of([inputs, *(sheet.sheet_id for sheet in sheets)])
        alike = _laid_out_as(door)
        drafts += [SheetJob(s.sheet_id, s.title, "door", door.mark, s.draw, group, inputs, alike) for s in sheets]
    return drafts


def _laid_out_as(door: DoorDesign) -> Hashable:
    """What decides how a door's wiring is laid out, all but the room that its words take."""
    netlist = door.wiring.netlist
    if netlist is None:
        return ""
    return tuple(c.ref for c in netlist.components), tuple((w.a, w.b) for w in netlist.conductors)


def _of_details(design: Design, doors: tuple[DoorDesign, ...], asked: SetOptions) -> tuple[DoorDesign, ...]:
    """Openings that some detail speaks of, own sheet or typical: none that fails goes without its counterexample."""
    return (
        tuple(sorted(design.doors, key=_mark_order)) if asked.details != "each" and asked.doors is not False else doors
    )


def _counterexample_drafts(
    design: Design,
    doors: Sequence[DoorDesign],
    asked: SetOptions,
    digests: Mapping[str, str],
    findings: Sequence[Finding],
) -> list[SheetJob]:
    about = _by_subject(findings)
    options = SheetOptions(asked.digest, asked.dxf_version, asked.block_folders)
    levels = {level.id: level.name or level.id for level in design.site.levels}
    drafts = list[SheetJob]()
    for door in doors:
        if drawn_failing(door) is not None:
            draw = partial(draw_counterexample, design, door, options, about.get(door.mark, ()))
            sheet_id, title = failure_sheet_id(door.mark), counterexample_title(door.mark)
            group = f"Failure diagrams, {levels[door.opening.level]}"
            inputs, alike = digests[door.mark], _laid_out_as(door)
            drafts.append(SheetJob(sheet_id, title, "door", door.mark, draw, group, inputs, alike))
    return drafts


def _typical_drafts(
    design: Design, findings: Sequence[Finding], asked: SetOptions, digests: Mapping[str, str]
) -> list[SheetJob]:
    if asked.details == "each" or asked.doors is False:
        return []
    options = SheetOptions(asked.digest, asked.dxf_version, asked.block_folders)
    return [
        SheetJob(
            s.sheet_id, s.title, "typical", "", s.draw,
            inputs=digest_of([s.sheet_id, s.title, *(f"{mark}={digests[mark]}" for mark in s.marks)]),
        )
        for s in plan_typicals(design, findings, options)
    ]  # fmt: skip


def _digests(design: Design, findings: Sequence[Finding], asked: SetOptions) -> Mapping[str, str]:
    """What each door's sheet is drawn from, by mark."""
    if asked.doors is False:
        return {}
    about, common = _by_subject(findings), _common(design, asked)
    return {door.mark: door_inputs(design, door, about.get(door.mark, ()), common) for door in design.doors}


def _number(draft: SheetJob) -> int:
    """The number in a sheet's identification: 501 of `T-501-GATE`."""
    return int(draft.sheet_id.split("-")[1])


def _mark_order(door: DoorDesign) -> tuple[tuple[int, int, str], ...]:
    return natural_order(door.mark)


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
    for finding in at_openings(findings):
        found.setdefault(finding.subject, []).append(finding)
    return {subject: tuple(few) for subject, few in found.items()}
