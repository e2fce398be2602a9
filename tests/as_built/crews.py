"""Papers filled in as a crew does that built everything as drawn; tests change what they are about."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import openpyxl

from riserkit.as_built.lines import sheet_lines
from riserkit.design import Design, DoorDesign
from riserkit.model.returned import FIELD_TABLES
from riserkit.wiring.readings.expected import Reading

Filled = dict[str, list[dict[str, Any]]]
WHO = {"by": "A. Lee", "date": "2026-03-20", "instrument": "meter 17"}


def filled(design: Design, marks: tuple[str, ...] = ()) -> Filled:
    """Every table of these openings, of all when none is named, filled in as drawn."""
    rows: Filled = {name: [] for name in FIELD_TABLES if name != "crew"}
    for door in (d for d in design.doors if not marks or d.mark in marks):
        rows["doors"].append({"opening": door.mark, "done": "yes"})
        rows["landings"] += landings(design, door)
        rows["readings"] += [
            {"opening": door.mark, "what": r.what, "red_lead": r.plus, "black_lead": r.minus, "state": r.state,
             "reading": shown(r)}
            for r in sheet_lines(design, door)
        ]  # fmt: skip
    for cable in design.cables:
        if marks and cable.mark not in marks:
            continue
        label = cable.label or cable.subject
        rows["lengths"].append({"cable": label, "length_m": f"{(cable.length_m or 0.0) + 0.2:.2f} m"})
        if cable.serves == "data":
            rows["cable_tests"].append({"cable": label, "limit": "category 6 permanent link", "wire_map": "pass",
                                        "insertion_loss_margin_db": "11.2", "result": "PASS"})  # fmt: skip
    return {name: [{**row, **WHO} for row in found] for name, found in rows.items()}


def landings(design: Design, door: DoorDesign) -> list[dict[str, Any]]:
    """The conductor table of an opening, as the schedules print it, ticked."""
    netlist = door.wiring.netlist
    assert netlist is not None
    roles = {c.ref: c.role for c in netlist.cables}
    return [
        {"opening": door.mark, "no": c.ref, "colour": c.colour, "from_terminal": str(c.a), "to_terminal": str(c.b),
         "cable": "lead" if not c.cable else design.labels.cable[door.mark] if roles[c.cable] == "data" else f"{door.mark}-{c.cable}",
         "as_drawn": "yes"}
        for c in netlist.conductors
    ]  # fmt: skip


def shown(line: Reading) -> str:
    """What a meter shows where all is well."""
    if line.words:
        return {"open": "OL", "closed": "0.2"}.get(line.words, "yes")
    return f"{max(line.expected or 0.0, line.low or 0.0):.2f}"


def relanded(rows: Filled, opening: str, no: str, **landed: str) -> None:
    """Land one conductor otherwise."""
    (row,) = [row for row in rows["landings"] if (row["opening"], row["no"]) == (opening, no)]
    row |= {"as_drawn": "no", **landed}


def write_csv(folder: Path, rows: Mapping[str, list[dict[str, Any]]]) -> list[Path]:
    """One text table for each that has rows."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for name, found in rows.items():
        if found:
            paths.append(folder / f"{name}.csv")
            with paths[-1].open("w", encoding="utf-8", newline="") as stream:
                writer = csv.DictWriter(stream, FIELD_TABLES[name].columns)
                writer.writeheader()
                writer.writerows(found)
    return paths


def write_workbook(path: Path, rows: Mapping[str, list[dict[str, Any]]]) -> Path:
    """A sheet for each table, an instruction above its heading."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, found in rows.items():
        sheet, table = book.create_sheet(name), FIELD_TABLES[name]
        sheet.append([table.instruction])
        sheet.append(list(table.columns))
        for row in found:
            sheet.append([row.get(column) for column in table.columns])
    book.save(path)
    return path
