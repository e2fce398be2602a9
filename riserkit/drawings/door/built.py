"""What an as-built set says of a door: what was built otherwise than drawn, and which devices stand there."""

from __future__ import annotations

from collections.abc import Iterator

from riserkit.design import Design, DoorDesign
from riserkit.drawings.setting.table import Table, TableColumn


def built_tables(design: Design, door: DoorDesign) -> Iterator[tuple[str, Table]]:
    """Was and is, and the devices as fitted; nothing of a site worked out as designed."""
    built = design.site.as_built
    if built is None:
        return
    rows = tuple(
        (one.subject, one.was, one.is_now, f"{one.by}, {one.date.isoformat()}")
        for one in built.differences
        if one.opening == door.mark
    )
    if rows:
        columns = (
            TableColumn("Built otherwise than drawn", max_width_mm=70), TableColumn("Was", max_width_mm=50),
            TableColumn("Is", max_width_mm=50), TableColumn("By, date", max_width_mm=46),
        )  # fmt: skip
        yield "differences", Table("Was and is", columns, rows, keys=tuple(row[0] for row in rows))
    netlist = door.wiring.netlist
    parts = {c.ref: c.part for c in netlist.components} if netlist else {}
    fitted = tuple(
        (ref, parts.get(ref, ""), row.serial, row.mac)
        for ref, row in built.devices_of.get(door.mark, {}).items()
        if row.serial or row.mac
    )
    if fitted:
        columns = (TableColumn("Ref."), TableColumn("Part", max_width_mm=46), TableColumn("Serial number", max_width_mm=46),
                   TableColumn("MAC"))  # fmt: skip
        yield "fitted", Table("Devices as fitted", columns, fitted)


def built_notes(design: Design, door: DoorDesign) -> Iterator[str]:
    """Who returned the door, what is left of it, and its photographs."""
    built = design.site.as_built
    if built is None:
        return
    row = built.door.get(door.mark)
    if row is None:
        yield "Nobody has returned this opening as done: what is not listed as measured or built is drawn as designed."
    else:
        left = "" if row.done == "yes" else f": {row.reason}"
        said = {"yes": "done", "partly": "partly done", "no": "not done"}[row.done or "no"]
        yield f"Returned as {said} by {row.by}, {row.date.isoformat()}{left}."
    there = {photo.name for photo in built.kept_photos}
    for words, came in (("Photographs", True), ("Photographs that were named and never came", False)):
        photos = [
            f"{p.photo}{f' ({p.shows})' if p.shows else ''}"
            for p in built.photos
            if p.opening == door.mark and (p.photo in there) == came
        ]
        if photos:
            yield f"{words}: {', '.join(photos)}."
