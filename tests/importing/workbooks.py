"""A door schedule as an office keeps it, written by the library and not by the code that reads it."""

from __future__ import annotations

from pathlib import Path

import openpyxl

DOORS = 40
UNCONTROLLED = tuple(101 + n for n in range(DOORS) if n % 4 == 0)


def schedule(path: Path, **changes: object) -> Path:
    """Two title rows, headings in two rows with merged groups, sections, a repeated heading, a total, hardware sets.

    `changes`: by address of the schedule what stands there instead.
    """
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Doors"
    for row, text in ((1, "NORTH CAMPUS - DOOR SCHEDULE"), (2, "Issue B, 2026-03-01")):
        sheet.cell(row, 1, text)
        sheet.merge_cells(start_row=row, start_column=1, end_row=row, end_column=10)
    for place, text in {
        "A4": "Door",
        "E4": "Frame",
        "G4": "Fire Rating",
        "H4": "HW Set",
        "I4": "Access Control",
        "J4": "Key plan",
    }.items():
        sheet[place] = text
    for merged in ("A4:D4", "E4:F4", "G4:G5", "H4:H5", "I4:I5", "J4:J5"):
        sheet.merge_cells(merged)
    names = [
        "No.",
        "Width",
        "Height",
        "Hand",
        "Material",
        "Width",
        "Fire Rating",
        "HW Set",
        "Access Control",
        "Key plan",
    ]
    for column, text in enumerate(names[:6], 1):
        sheet.cell(5, column, text)
    row = 6
    for n in range(DOORS):
        if n in (0, 20):
            sheet.cell(row, 1, f"LEVEL {1 + n // 20}")
            sheet.merge_cells(start_row=row, start_column=1, end_row=row, end_column=10)
            row += 1
        if n == 20:
            for column, text in enumerate(names, 1):
                sheet.cell(row, column, text)
            row += 1
        hand = ("LH", "RHR", "RH", "LHR")[n % 4]
        values = (101 + n, 915 if n % 3 else "3'-0\"", 2134, hand, "HM", 50, "90 min" if n % 5 == 0 else None, f"{1 + n % 3:02d}",
                  "Y" if n % 4 else "N", f"K{n}")  # fmt: skip
        for column, value in enumerate(values, 1):
            sheet.cell(row, column, value)
        row += 1
    sheet.cell(row, 1, f"TOTAL {DOORS} DOORS")
    for place, value in changes.items():
        sheet[place] = value
        if value == "#N/A":
            sheet[place].data_type = "e"
    sets = book.create_sheet("Hardware Sets")
    for items in (
        ("Set", "Qty", "Item"), ("01", 1, "Electric strike, fail secure, 12 VDC"), ("", 1, "Door position switch"),
        ("", 1, "REX motion sensor, 12 V"), ("", 3, "Hinges"), ("02", 1, "Electromagnetic lock, 12 V"), ("", 1, "DPS"),
        ("", 1, "Emergency release button"), ("03", 1, "Mortise lock, storeroom"), ("", 1, "Closer"),
    ):  # fmt: skip
        sets.append(items)
    book.save(path)
    return path
