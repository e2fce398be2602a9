"""What came back of a site, for people and as tables: what became of a return, the register of differences, the history."""

from __future__ import annotations

from collections.abc import Iterator

from riserkit.as_built.equipment import equipment_of
from riserkit.design import Design
from riserkit.model.as_built import KeptPhoto
from riserkit.model.returned import FIELD_TABLES
from riserkit.record.disagree import TakenReturn
from riserkit.reports.lengths import length_cell, length_column
from riserkit.reports.table import Cell, ReportTable


def return_lines(taken: TakenReturn) -> Iterator[str]:
    """What was taken, or why nothing was."""
    for mark, other in taken.renamed.items():
        yield f"  {mark} is called {other} now: its rows are taken as of {other}"
    for question in taken.questions:
        yield f"  {question}"
    if taken.questions:
        yield "Nothing is taken. Correct one of the two; or say with --take FILE which file holds where they disagree."
        return
    for table, number in taken.rows.items():
        yield f"  {table.replace('_', ' ')}: {number}"
    for one in taken.replaced:
        yield f"  {one.about}, {one.column}: {one.was} -> {one.is_now}"
    if taken.unchanged:
        yield f"  on record already: {taken.unchanged}"
    for place, text in taken.comments:
        yield f"  {place}: its comment is not on record, a cell or a reason would be: {text}"
    for file, sheets in taken.left.items():
        # A schedule of our own is nothing to be told of; a sheet that is nearly named as a table is.
        near = [name for name in sheets if any(table in name.casefold() for table in FIELD_TABLES) and " " in name]
        if near:
            yield f"  {file}: not read, as no table is called so: {', '.join(near)}"
    if taken.no_photos:
        yield (
            f"  photographs not found: {', '.join(taken.no_photos)}. Put them beside the table that names them, or say with "
            "--photos where they are, and return it again."
        )
    yield f"On record: {taken.record}" if taken.record is not None else "Nothing new: all of it is on record."


def returned_tables(design: Design) -> Iterator[ReportTable]:
    """The tables of an as-built set: differences, devices as fitted, cable tests, photographs, and every row that came back.

    None of a site that is worked out as designed.
    """
    built, system = design.site.as_built, design.site.info.unit_system
    if built is None:
        return
    yield ReportTable(
        "differences",
        ("opening", "kind", "subject", "was", "is", "by", "date", "file"),
        tuple(
            (d.opening, d.kind, d.subject, d.was, d.is_now, d.by, d.date.isoformat(), d.file) for d in built.differences
        ),
    )
    yield ReportTable(
        "devices_fitted",
        ("opening", "device", "part", "serial", "mac", "by", "date"),
        tuple(
            (d.opening, d.device, _part(design, d.opening, d.device), d.serial, d.mac, d.by, d.date.isoformat())
            for d in built.devices
        ),
    )
    yield ReportTable(
        "cable_test_results",
        ("cable", "limit", "wire_map", length_column("length", system), "loop_ohm", "insertion_loss_margin_db", "result",
         "by", "date", "instrument"),
        tuple(
            (t.cable, t.limit, t.wire_map, length_cell(t.length_m, system), t.loop_ohm, t.insertion_loss_margin_db, t.result,
             t.by, t.date.isoformat(), t.instrument)
            for t in built.cable_tests
        ),
    )  # fmt: skip
    standing = equipment_of(design)
    yield ReportTable(
        "equipment_fitted",
        ("equipment", "closet", "part", "serial", "mac", "output_v", "on_battery_v", "output_a", "battery_v", "battery_made",
         "by", "date"),
        tuple(
            (e.equipment, standing[e.equipment].closet if e.equipment in standing else "",
             getattr(standing.get(e.equipment), "part", ""), e.serial, e.mac, e.output_v, e.on_battery_v, e.output_a, e.battery_v,
             e.battery_made, e.by, e.date.isoformat())
            for e in built.equipment
        ),
    )  # fmt: skip
    there = {photo.name: photo for photo in built.kept_photos}
    yield ReportTable(
        "photographs",
        ("opening", "photo", "shows", "by", "date", "status", "width_px", "height_px", "size_bytes", "sha256"),
        tuple(
            (p.opening, p.photo, p.shows, p.by, p.date.isoformat(), *_photo(there.get(p.photo))) for p in built.photos
        ),
    )
    columns = ("return", "table", "about", "said", "by", "date", "instrument", "file", "status")
    yield ReportTable("returned", columns, built.history)


def _photo(kept: KeptPhoto | None) -> tuple[Cell, ...]:
    if kept is None:
        return "not found", None, None, None, ""
    return "kept", kept.width_px or None, kept.height_px or None, kept.size_bytes, kept.digest


def _part(design: Design, mark: str, ref: str) -> str:
    netlist = design.door[mark].wiring.netlist if mark in design.door else None
    return next((c.part for c in netlist.components if c.ref == ref), "") if netlist else ""
