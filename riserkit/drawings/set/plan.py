"""The drawing set: which sheets there are, in which order, and how each is drawn.

Sheets stand in the order of their numbers: T-001 cover, T-101 plans, T-501 door details, T-502 counterexamples, T-511
and on typical details, T-601 riser, T-651 schedules.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property, partial
from typing import Final, Literal, Protocol, TypeVar

from riserkit.checked import Checked
from riserkit.design import Design, DoorDesign
from riserkit.drawings.cover.sheets import TITLE as COVER
from riserkit.drawings.cover.sheets import CoverContents, draw_cover_sheet, plan_cover
from riserkit.drawings.cover.values import IndexEntry
from riserkit.drawings.door.counterexample import counterexample_title, draw_counterexample
from riserkit.drawings.door.detail import door_title
from riserkit.drawings.door.readings import NO_TEST, DoorTest
from riserkit.drawings.door.sheets import plan_door_sheets, taken_ids
from riserkit.drawings.dxf.canvas import Canvas, DrawingInfo
from riserkit.drawings.dxf.errors import DrawingError
from riserkit.drawings.edits.inputs import (
    backgrounds_digest,
    digest_of,
    door_inputs,
    set_inputs,
    whole_inputs,
)
from riserkit.drawings.edits.void import VOID_WORDS
from riserkit.drawings.plan.pages import plan_sheet_id
from riserkit.drawings.plan.sheets import plan_levels
from riserkit.drawings.plan.values import PlanLevel
from riserkit.drawings.revisions.clouds import draw_revisions
from riserkit.drawings.revisions.values import SheetRevisions
from riserkit.drawings.riser.pages import riser_sheet_id
from riserkit.drawings.riser.sheets import draw_riser_sheet, plan_riser
from riserkit.drawings.schedules.sheets import FIRST as SCHEDULES
from riserkit.drawings.schedules.sheets import draw_schedule_sheet, plan_schedules
from riserkit.drawings.set.failed import OF_ALL, failing
from riserkit.drawings.set.job import SheetJob, SheetKind
from riserkit.drawings.set.planned import SetPlans, set_plans
from riserkit.drawings.setting.frames import Sheet
from riserkit.drawings.setting.table import Table
from riserkit.drawings.typical.gather import FIRST as TYPICALS
from riserkit.drawings.typical.sheets import plan_typicals
from riserkit.holds import HOLD, Holds, drawn_failing
from riserkit.kept import value_digest
from riserkit.quantities.natural_order import natural_order, runs
from riserkit.standards.sheets import FAILURES, door_sheet_id, failure_sheet_id, numbered_sheet_id

Details = Literal["each", "typical", "both"]
_COVER_TRIES: Final = 3


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
        info: what goes into every file besides its drawing.
        svg: a picture of each sheet beside its drawing.
        png: the same as PNG, at `png_dpi`.
        png_dpi: dots per inch.
        pdf: one PDF of all sheets, `set.pdf`.
        overview: one PDF of cover, plans and riser, `overview.pdf`.
        workers: processes that draw; None takes what the machine has, 1 draws in this one.
        inspects: inspect each sheet as it has been drawn, which saves reading it back.
        code: a digest of code besides riserkit's own that circuits and findings come from.
        revised: what is clouded and marked with deltas, by sheet.
        tests: what is measured at each opening, by mark, for its own sheet.
    """

    cover: bool = True
    plans: bool = True
    riser: bool = True
    doors: bool | tuple[str, ...] = True
    details: Details = "both"
    tables: tuple[Table, ...] = ()
    info: DrawingInfo = field(default_factory=DrawingInfo)
    svg: bool = False
    png: bool = False
    png_dpi: float = 150.0
    pdf: bool = False
    overview: bool = False
    workers: int | None = None
    inspects: bool = False
    code: str = ""
    revised: Mapping[str, SheetRevisions] = field(default_factory=dict)
    tests: Mapping[str, DoorTest] = field(default_factory=dict, repr=False)


def plan_set(
    checked: Checked,
    options: SetOptions | None = None,
    failed: Collection[str] = (),
    before: frozenset[str] = frozenset(),
) -> tuple[SheetJob, ...]:
    """The sheets of a set in the order of their numbers, doors in the order of their marks, numbers in them as numbers.

    What cannot be planned is one sheet whose drawing raises why.

    Args:
        checked: the whole design with its findings.
        options: see there.
        failed: identifications of sheets that could not be drawn, for the index on the cover.
        before: identifications of sheets of an earlier set; those that this one has no more follow as void.

    Raises:
        DrawingError: a mark asked for is not one of the site's.
    """
    asked = options or SetOptions()
    design = checked.design
    details = _Details(checked, asked)
    plans = SetPlans()

    def planned_plans() -> list[SheetJob]:
        nonlocal plans
        common = details.common, backgrounds_digest(design, asked.info)
        plans, draw = set_plans(design, asked.info, details.plan_levels, common)
        return _plans(plans, draw, common)

    def planned_riser() -> list[SheetJob]:
        riser = plan_riser(checked, asked.info)
        return _numbered("riser", riser, draw_riser_sheet, [details.common])

    jobs = [
        *(_or_failing(_one("plan", plan_sheet_id(1), "Plans"), planned_plans) if asked.plans else ()),
        *sorted([*details.doors(), *details.failures(), *details.typicals()], key=lambda job: job.number),
        *(_or_failing(_one("riser", riser_sheet_id(1), "Riser diagram"), planned_riser) if asked.riser else ()),
        *_or_failing(_one("schedule", numbered_sheet_id("6", SCHEDULES), "Schedules"), partial(_schedules, details)),
    ]
    gone = _void(before - {job.sheet_id for job in jobs})
    if asked.cover:
        one = _one("cover", numbered_sheet_id("0", 1), COVER)
        covers = _or_failing(one, partial(_cover, details, [*jobs, *gone], plans, failed))
        # sheets of an earlier cover are among the void ones in the index until it is known how many this one has
        for _ in range(_COVER_TRIES):
            wanted = [job for job in gone if job.sheet_id not in {cover.sheet_id for cover in covers}]
            if len(wanted) == len(gone):
                break
            gone = wanted
            covers = _or_failing(one, partial(_cover, details, [*jobs, *gone], plans, failed))
        jobs[:0] = covers
    jobs += gone

    @cache
    def whole() -> str:
        words = details.common + repr((asked, [job.sheet_id for job in jobs]))
        return whole_inputs(checked, asked.info, words)

    # no sheet says how many there are: one door more would change every sheet of the set
    return tuple(_revised(job if job.inputs else replace(job, inputs=whole()), asked.revised) for job in jobs)


def _revised(job: SheetJob, revised: Mapping[str, SheetRevisions]) -> SheetJob:
    """The sheet with its clouds and deltas."""
    found = revised.get(job.sheet_id)
    if found is None:
        return job

    def draw() -> Canvas:
        canvas = job.draw()
        draw_revisions(canvas, found, is_plan=job.kind == "plan")
        return canvas

    return replace(job, draw=draw, inputs=digest_of([job.inputs, repr(found)]))


def _void(sheet_ids: Iterable[str]) -> list[SheetJob]:
    """Sheets that are not drawn, but marked VOID."""
    why = failing(DrawingError(VOID_WORDS))
    ids = sorted(sheet_ids, key=natural_order)
    return [SheetJob(i, VOID_WORDS, why, kind="void", inputs=digest_of(["void", i, VOID_WORDS])) for i in ids]


def _one(kind: SheetKind, sheet_id: str, title: str, number: int = 1) -> Callable[[Exception], SheetJob]:
    """One sheet in place of several that could not be planned, which fails when it is drawn."""
    return lambda error: SheetJob(sheet_id, title, failing(error), number, kind=kind)


def _or_failing(instead: Callable[[Exception], SheetJob], plan: Callable[[], list[SheetJob]]) -> list[SheetJob]:
    """Sheets that are planned together, or the one instead."""
    try:
        return plan()
    except OF_ALL:
        raise
    except Exception as error:  # one part of a set that fails leaves the others
        return [instead(error)]


def own_sheets(design: Design, asked: SetOptions) -> frozenset[str]:
    """Marks of the openings that have sheets of their own.

    Raises:
        DrawingError: a mark asked for is not one of the site's.
    """
    if asked.details == "typical" and asked.doors is True:
        return frozenset()
    return frozenset(door.mark for door in _chosen(design, asked.doors))


class _Numbered(Protocol):
    """Sheets planned together."""

    @property
    def sheet_ids(self) -> tuple[str, ...]: ...

    def title(self, number: int) -> str: ...

    def shown(self, number: int) -> object: ...


P = TypeVar("P", bound=_Numbered)


def _numbered(kind: SheetKind, planned: P, draw: Callable[[P, int], Canvas], common: Iterable[str]) -> list[SheetJob]:
    """A job for each sheet; `common` is what all of them are drawn from besides what each shows."""
    shared = digest_of(common)
    jobs = []
    for n, sheet_id in enumerate(planned.sheet_ids):
        shown = value_digest(planned.shown(n))
        inputs = digest_of([shared, sheet_id, shown]) if shown else ""
        jobs.append(SheetJob(sheet_id, planned.title(n), partial(draw, planned, n), kind=kind, inputs=inputs))
    return jobs


def _plans(plans: SetPlans, draw: Callable[[int], Canvas], common: Iterable[str]) -> list[SheetJob]:
    shared = digest_of(common)
    return [
        SheetJob(
            one.sheet_id, one.title, partial(draw, n), on_record=one.on_record, kind="plan",
            inputs=digest_of([shared, one.sheet_id, one.shown]) if one.shown else "",
        )
        for n, one in enumerate(plans.sheets)
    ]  # fmt: skip


def _cover(details: _Details, jobs: Sequence[SheetJob], plans: SetPlans, failed: Collection[str]) -> list[SheetJob]:
    kinds, holds = {job.kind for job in jobs}, details.checked.holds
    contents = CoverContents(
        sheets=tuple(_entry(job, holds, failed) for job in jobs),
        levels=tuple(one for one in details.plan_levels if one.id in plans.levels) if plans.levels else (),
        scale=plans.scale,
        riser="riser" in kinds,
        doors=bool(kinds & {"door", "typical"}),
    )
    cover = plan_cover(details.checked, contents, details.asked.info)
    return _numbered("cover", cover, draw_cover_sheet, [details.common])


def _entry(job: SheetJob, holds: Holds, failed: Collection[str]) -> IndexEntry:
    if job.sheet_id in failed:
        return IndexEntry(job.sheet_id, f"{job.title}, not drawn", job.group, job.subject or job.sheet_id, job.kind)
    listed = runs([mark for mark in job.marks if mark in holds]) if job.kind == "typical" else ()
    title = f"{job.title}. {HOLD}: {', '.join(listed)}" if listed and HOLD not in job.title else job.title
    return IndexEntry(job.sheet_id, title, job.group, job.subject if job.subject in holds else "", job.kind)


def _schedules(details: _Details) -> list[SheetJob]:
    schedules = plan_schedules(details.design.site, details.asked.tables, details.asked.info)
    jobs = _numbered("schedule", schedules, draw_schedule_sheet, [details.common])
    return [replace(job, on_record=schedules.on_record(n), group=job.title) for n, job in enumerate(jobs)]


@dataclass(frozen=True)
class _Details:
    """Details of doors: their own, those of how they fail, and typicals."""

    checked: Checked
    asked: SetOptions

    @property
    def design(self) -> Design:
        return self.checked.design

    @cached_property
    def common(self) -> str:
        """A digest of what every sheet is drawn from."""
        return digest_of((set_inputs(self.design, self.asked.info), self.asked.code))

    @cached_property
    def plan_levels(self) -> tuple[PlanLevel, ...]:
        """All that plans may show."""
        return plan_levels(self.checked, self.asked.info)

    @cached_property
    def _inputs(self) -> Mapping[str, str]:
        """A digest of what each door's sheet is drawn from, by mark."""
        return {
            door.mark: door_inputs(self.design, door, self.checked.findings_of.get(door.mark, ()), self.common)
            for door in self.design.doors
        }

    @cached_property
    def _drawn(self) -> tuple[DoorDesign, ...]:
        """Doors that have sheets of their own, in order."""
        marks = own_sheets(self.design, self.asked)
        return tuple(sorted((door for door in self.design.doors if door.mark in marks), key=_mark_order))

    def doors(self) -> Iterator[SheetJob]:
        """Each door's own sheets."""
        taken = taken_ids(self.design)
        for door in self._drawn:
            test = self.asked.tests.get(door.mark, NO_TEST)
            sheets = self._own_sheets(door, test, taken)
            inputs = digest_of([self._inputs[door.mark], repr(test), *(sheet.sheet_id for sheet in sheets)])
            for sheet in sheets:
                yield self._job(sheet, door, "Door details", inputs)

    def _own_sheets(self, door: DoorDesign, test: DoorTest, taken: frozenset[str]) -> tuple[Sheet, ...]:
        try:
            about = self.checked.findings_of.get(door.mark, ())
            return plan_door_sheets(self.design, door, about, self.asked.info, test, taken)
        except OF_ALL:
            raise
        except Exception as error:  # one door that fails leaves the others
            return (Sheet(door_sheet_id(door.mark), door_title(door), failing(error), marks=(door.mark,)),)

    def failures(self) -> Iterator[SheetJob]:
        """How doors fail: of all that some detail shows, own sheet or typical."""
        doors = self._drawn
        if self.asked.details != "each" and self.asked.doors is not False:
            doors = tuple(sorted(self.design.doors, key=_mark_order))
        for door in doors:
            if drawn_failing(door) is not None:
                draw = partial(
                    draw_counterexample, self.design, door, self.asked.info, self.checked.findings_of.get(door.mark, ())
                )
                sheet = Sheet(failure_sheet_id(door.mark), counterexample_title(door.mark), draw, number=FAILURES)
                yield self._job(sheet, door, "Failure diagrams", self._inputs[door.mark])

    def typicals(self) -> list[SheetJob]:
        """One detail for all doors wired alike."""
        if self.asked.details == "each" or self.asked.doors is False:
            return []
        instead = _one("typical", numbered_sheet_id("5", TYPICALS), "Typical details", TYPICALS)
        return _or_failing(instead, lambda: list(self._typicals()))

    def _typicals(self) -> Iterator[SheetJob]:
        marks = own_sheets(self.design, self.asked)
        for sheet in plan_typicals(self.checked, self.asked.info, marks):
            drawn = (f"{mark}={self._inputs[mark]}" for mark in sheet.marks)
            yield SheetJob(
                sheet.sheet_id, sheet.title, sheet.draw, sheet.number, sheet.marks, sheet.on_record, "typical",
                inputs=digest_of([sheet.sheet_id, sheet.title, *drawn]),
            )  # fmt: skip

    def _job(self, sheet: Sheet, door: DoorDesign, group: str, inputs: str) -> SheetJob:
        return SheetJob(
            sheet.sheet_id, sheet.title, sheet.draw, sheet.number, sheet.marks, "", "door", door.mark,
            f"{group}, {self.design.site.level_name(door.opening.level)}", inputs, _laid_out_as(door),
        )  # fmt: skip


def _laid_out_as(door: DoorDesign) -> Hashable:
    """What decides how a door's wiring is laid out, all but the room that its words take."""
    netlist = door.wiring.netlist
    if netlist is None:
        return ""
    return tuple(c.ref for c in netlist.components), tuple((w.a, w.b) for w in netlist.conductors)


def _mark_order(door: DoorDesign) -> tuple[tuple[int, int, str], ...]:
    return natural_order(door.mark)


def _chosen(design: Design, wanted: bool | tuple[str, ...]) -> tuple[DoorDesign, ...]:
    if isinstance(wanted, bool):
        return design.doors if wanted else ()
    unknown = [mark for mark in wanted if mark not in design.door]
    if unknown:
        raise DrawingError(f"no opening is marked {', '.join(unknown)}; marks are those of the site's openings")
    return tuple(door for door in design.doors if door.mark in set(wanted))
