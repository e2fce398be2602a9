"""All files of a site's page, doors shared among processes where that pays."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import Final, TypeVar

from riserkit.circuits.errors import FAILURES, failure_words
from riserkit.design import DoorDesign
from riserkit.drawings.dxf.text import font_path
from riserkit.drawings.processes import cores, done_in_order
from riserkit.drawings.set.job import SheetJob
from riserkit.findings import Verdict
from riserkit.page.acceptance import COLUMNS, acceptance_data
from riserkit.page.bench import BENCH_FOLDER, bench_file, script_of_before, topologies, write_bench
from riserkit.page.door import door_page
from riserkit.page.findings import door_status, finding_views
from riserkit.page.render import acceptance_html, door_html, findings_html, overview_html, sheet_anchor, sheet_html
from riserkit.page.sheets import page_jobs, sheet_view
from riserkit.page.values import DoorEntry, DoorPage, DoorStatus, FindingView, Overview, PageNotice, Rows, SheetView
from riserkit.page.work import ACCEPTANCE, FINDINGS, OVERVIEW, PageWork
from riserkit.wiring.arrangement import DoorCircuit

_Made = TypeVar("_Made")
Progress = Callable[[str, int, int], None]
_LEAST_SHARED: Final = 8
_OVERVIEW: Final = frozenset({"plan", "riser"})


@dataclass(frozen=True)
class _PagePlan:
    """What there is to be written: sheets of each door; others, those of the overview among them; where these are found."""

    work: PageWork
    jobs: Sequence[SheetJob]
    statuses: Mapping[str, DoorStatus]
    findings_of: Mapping[str, Sequence[FindingView]]
    sheets_of: Mapping[str, Sequence[SheetJob]]
    others: Sequence[SheetJob]
    others_of: Mapping[str, Rows]
    circuits: Mapping[str, DoorCircuit]


def write_page(work: PageWork, folder: Path, progress: Progress, earlier: Path | None = None) -> int:
    """Write the page of a site into a new folder.

    Args:
        work: the site.
        folder: is there, and empty.
        progress: told of every page.
        earlier: the folder of an earlier page, whose tables of the bench are taken over where the design's kept work has them.

    Returns:
        How many doors have a page.
    """
    write_assets(folder)
    for name in ("doors", "sheets", BENCH_FOLDER):
        (folder / name).mkdir()
    views = finding_views(work)
    plan = _planned(work, views)
    doors, others, shown = work.design.doors, plan.others, dict[str, SheetView]()
    count = len(others) + len(doors) + len(plan.circuits)
    for n, (job, made) in enumerate(zip(others, _done(plan, _sheet, len(others)), strict=True), 1):
        if isinstance(made, SheetView):
            shown[made.sheet_id] = made
        else:
            (folder / "sheets" / f"{job.sheet_id}.html").write_text(made, "utf-8")
        progress("pages", n, count)
    # which doors a plan shows is known once it is drawn
    plan = replace(plan, others_of=_also_on(plan, shown))
    for n, (door, text) in enumerate(zip(doors, _done(plan, _door, len(doors)), strict=True), len(others) + 1):
        (folder / "doors" / f"{door.mark}.html").write_text(text, "utf-8")
        progress("pages", n, count)
    for n, (circuit, script) in enumerate(_benches(plan, earlier), len(others) + len(doors) + 1):
        write_bench(circuit, script, work.design.kept, folder)
        progress("pages", n, count)
    _write_lists(work, folder, views, plan, shown)
    return len(doors)


def _done(plan: _PagePlan, work: Callable[[_PagePlan, int], _Made], count: int) -> Iterator[_Made]:
    return done_in_order(partial(work, plan), range(count), cores(), _LEAST_SHARED, "drew pages of")


def _typical(job: SheetJob) -> tuple[str, str]:
    """File and title of a typical detail."""
    return f"sheets/{job.sheet_id}.html", f"{job.sheet_id} {job.title}"


def _also_on(plan: _PagePlan, shown: Mapping[str, SheetView]) -> Mapping[str, Rows]:
    """File and title of the plans and riser sheets that show each door, then of its typical detail."""
    found = {mark: list[tuple[str, str]]() for mark in plan.statuses}
    for sheet in shown.values():
        for door in sheet.doors:
            found[door.mark].append((f"{OVERVIEW}#{sheet_anchor(sheet.sheet_id)}", f"{sheet.sheet_id} {sheet.title}"))
    return {mark: (*rows, *plan.others_of[mark]) for mark, rows in found.items()}


def _planned(work: PageWork, views: Sequence[FindingView]) -> _PagePlan:
    doors = work.design.doors
    by_mark: dict[str, list[FindingView]] = {door.mark: [] for door in doors}
    for view in views:
        for mark in view.marks:
            by_mark[mark].append(view)
    statuses = {mark: door_status(work, mark, few) for mark, few in by_mark.items()}
    jobs = page_jobs(work)
    sheets: dict[str, list[SheetJob]] = {door.mark: [] for door in doors}
    others: dict[str, list[tuple[str, str]]] = {door.mark: [] for door in doors}
    for job in jobs:
        if job.kind == "door":
            sheets[job.subject].append(job)
        elif job.kind == "typical":
            for mark in job.marks:
                others[mark].append(_typical(job))
    # worked out before the fork, so that no child does it again
    _ = work.holds, work.findings_of, work.frame
    apart = [job for job in jobs if job.kind != "door"]
    rows = {mark: tuple(few) for mark, few in others.items()}
    return _PagePlan(work, jobs, statuses, by_mark, sheets, apart, rows, topologies(doors))


def _sheet(plan: _PagePlan, number: int) -> str | SheetView:
    """A sheet that goes into the overview, or the HTML of one that has a page of its own."""
    job = plan.others[number]
    view = sheet_view(plan.work, job, plan.statuses)
    return view if job.kind in _OVERVIEW else sheet_html(view, plan.work.frame)


def _door(plan: _PagePlan, number: int) -> str:
    """The HTML of one door's page."""
    work, door = plan.work, plan.work.design.doors[number]
    neighbours = tuple(_neighbours(work.design.doors, number))
    sheets = [sheet_view(work, job, plan.statuses) for job in plan.sheets_of[door.mark]]
    try:
        page = door_page(
            work, door, status=plan.statuses[door.mark], findings=plan.findings_of[door.mark],
            sheets=sheets,
            more_sheets=plan.others_of[door.mark], neighbours=neighbours,
        )  # fmt: skip
    except FAILURES as error:  # one page that fails leaves the others
        why = f"This page could not be made; build nothing from an earlier one. Report it: {failure_words(error)}."
        page = DoorPage(
            door.mark, door.opening.name, notices=(PageNotice(f"{work.frame.hold}: no page", (why,), hold=True),),
            status=plan.statuses[door.mark], findings=tuple(plan.findings_of[door.mark]), neighbours=neighbours,
        )  # fmt: skip
    return door_html(page, work.frame)


def _benches(plan: _PagePlan, earlier: Path | None) -> Iterator[tuple[DoorCircuit, str]]:
    """One circuit of each topology, and its script: those that an earlier page has before those that are worked out."""
    missing: dict[str, DoorCircuit] = {}
    for topology, circuit in plan.circuits.items():
        script = script_of_before(circuit, plan.work.design.kept, earlier) if earlier is not None else None
        if script is None:
            missing[topology] = circuit
        else:
            yield circuit, script
    left = replace(plan, circuits=missing)
    yield from zip(missing.values(), _done(left, _bench, len(missing)), strict=True)


def _bench(plan: _PagePlan, number: int) -> str:
    """The script of one topology's bench."""
    return bench_file(list(plan.circuits.values())[number])


def _neighbours(doors: Sequence[DoorDesign], at: int) -> Iterator[tuple[str, str, str]]:
    for word, n in (("Previous", at - 1), ("Next", at + 1)):
        if 0 <= n < len(doors):
            yield word, f"{doors[n].mark}.html", doors[n].mark


def _write_lists(
    work: PageWork, folder: Path, views: Sequence[FindingView], plan: _PagePlan, shown: Mapping[str, SheetView]
) -> None:
    design = work.design
    held = tuple((mark, hold.words) for mark, hold in work.holds.held.items())
    words = dict(held)
    entries = tuple(
        DoorEntry(
            door.mark, door.opening.name, work.level_name(door), plan.statuses[door.mark], words.get(door.mark, "")
        )
        for door in design.doors
    )
    more = tuple(_typical(job) for job in plan.jobs if job.kind == "typical")
    sheets = tuple(shown[job.sheet_id] for job in plan.jobs if job.sheet_id in shown)
    failing = [finding for finding in work.findings if finding.verdict is not Verdict.PASS]
    data = [
        acceptance_data(finding, view)
        for finding, view in zip(failing, views, strict=True)
        if finding.acceptance is None
    ]
    passed = len(work.findings) - len(failing)
    for name, text in (
        (OVERVIEW, overview_html(Overview(entries, sheets, more), work.frame)),
        (FINDINGS, findings_html(views, held, passed, work.frame)),
        (ACCEPTANCE, acceptance_html(data, COLUMNS, held, work.frame)),
    ):
        (folder / name).write_text(text, "utf-8")


def write_assets(folder: Path) -> None:
    """Style, scripts and font, the same in every page folder."""
    place = folder / "assets"
    place.mkdir()
    for asset in sorted(files("riserkit.page").joinpath("assets").iterdir(), key=lambda one: one.name):
        (place / asset.name).write_bytes(asset.read_bytes())
    font = font_path()
    (place / "lettering.ttf").write_bytes(font.read_bytes())
    (place / "LICENSE-lettering.txt").write_bytes((font.parent / "LICENSE-DejaVu.txt").read_bytes())
