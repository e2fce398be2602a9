"""What an office sends and what a crew brings back, spoilt by chance: lists, plans and workbooks; the same for one seed."""

from __future__ import annotations

import io
import random
import re
import zipfile
from functools import cache
from typing import Any, Final

import ezdxf
import openpyxl

from riserkit.model.returned import FIELD_TABLES
from tests.hostile.bases import table_of
from tests.hostile.mutate import VALUES

_NAMES: Final = " ".join(
    f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"' for name in ("office", "table", "text")
)
_DOORS: Final = (
    ["DOOR SCHEDULE"], ["Door No.", "Level", "Room name", "Width mm", "Height mm", "Hand", "Fire rating", "HW set", "Access control",
     "X m"],
    ["LEVEL 1"], ["101", "L1", "Office", "915", "2134", "LH", "90 min", "01", "Y", "3.5"],
    ["102", "L1", "Store", "3'-0\"", "7'-0\"", "RHR", "", "02", "N", "8"], ["103", "L2", "Lab", "1830", "2134", "PR", "EI 30", "01", "Y",
     "12,5"],
    ["TOTAL 3 DOORS"],
)  # fmt: skip
_SETS: Final = (["Set", "Qty", "Item"], ["01", "1", "Electric strike, fail secure, 12 VDC"], ["", "1", "Door position switch"],
                ["02", "1", "Electromagnetic lock, 12 V"])  # fmt: skip
_CABLES: Final = ("1A-A01", "1A-A02", "101-W2", "102-W3")
_NUMBERS: Final = (
    "0", "-1", "1", "nan", "inf", "-inf", "1e400", "1e308", "-1e308", "1e-320", "99999999999999999999", "abc", "", " ", "1.5", "65536",
    "0x10",    "2147483648", "-2147483649",
)  # fmt: skip
_IN_XML: Final = re.compile(r'"[^"<>]{0,40}"|>[^<>]+<')

Received = tuple[str, bytes]
"""A file's name and what is in it."""


def document(seed: int) -> Received:
    """A list of doors or a plan for import."""
    chance = random.Random(seed)
    kind = chance.choice(["csv", "ods", "xlsx", "xlsx", "dxf", "dxf"])
    if kind == "dxf":
        return "plan.dxf", _spoilt_plan(chance)
    sheets = {"Doors": _spoilt_rows(_DOORS, chance), "Hardware Sets": _spoilt_rows(_SETS, chance)}
    return f"doors.{kind}", _file(kind, sheets, chance)


def returned(seed: int) -> Received:
    """A table or a workbook that a crew has filled in, of the starting site."""
    chance = random.Random(seed)
    names = chance.sample(sorted(FIELD_TABLES), chance.randint(1, 3))
    kind = chance.choice(["csv", "xlsx", "ods"])
    sheets = {f"field {name}": _spoilt_rows(_filled(name, chance), chance) for name in names}
    return (f"{names[0]}.csv" if kind == "csv" else f"crew.{kind}"), _file(kind, sheets, chance)


def _filled(name: str, chance: random.Random) -> list[list[str]]:
    """A table with a few rows, most of it such as it may be."""
    table = FIELD_TABLES[name]
    likely = {
        "cable": chance.choice(_CABLES), "opening": chance.choice(["101", "102"]), "by": "A. Name", "date": "2026-03-14",
        "instrument": "SN 7", "no": str(chance.randint(1, 9)), "device": chance.choice(["K1", "M1", "B1", "Y1"]), "photo": "a.jpg",
        "length_m": f"{chance.uniform(5, 40):.1f}", "loop_ohm": "3.1", "insertion_loss_margin_db": "4", "used_port": "1A.R1-A:05",
        "what": "lock M1, far end", "reading": "12.1", "serial": f"S{chance.randint(1, 9)}", "fitted_height_m": "1.1", "landed_to": "none",
    }  # fmt: skip
    rows = [list(table.columns)]
    for _ in range(chance.randint(1, 4)):
        row = []
        for column in table.columns:
            words = table.choices(column)
            row.append(chance.choice([*words, ""]) if words else likely.get(column, ""))
        rows.append(row)
    return rows


def _spoilt_rows(rows: Any, chance: random.Random) -> list[list[str]]:
    found = [list(row) for row in rows]
    for _ in range(chance.randint(0, 3)):
        row = chance.choice(found)
        change = chance.randrange(6)
        if change < 3 and row:
            row[chance.randrange(len(row))] = chance.choice([*VALUES, *_NUMBERS])
        elif change == 3:
            found.insert(chance.randrange(len(found) + 1), list(row))
        elif change == 4:
            row.extend(chance.choice(VALUES) for _ in range(chance.randint(1, 3)))
        else:
            found.remove(row)
            if not found:
                return [[chance.choice(VALUES)]]
    return found


def _file(kind: str, sheets: dict[str, list[list[str]]], chance: random.Random) -> bytes:
    if kind == "csv":
        data = bytearray(table_of(next(iter(sheets.values()))))
        for _ in range(chance.randint(0, 2)):
            if data:
                data[chance.randrange(len(data))] = chance.choice(b'\x00\xff"\n,;\r\t\x9b#=')
        return bytes(data)
    return _spoilt_archive(_workbook(sheets) if kind == "xlsx" else _open_document(sheets), chance)


def _plain(text: str) -> str:
    """What XML may hold of a text."""
    return "".join(ch for ch in text if ch in "\t\n" or 0x20 <= ord(ch) < 0xD800 or 0xE000 <= ord(ch) < 0xFFFE)[:32_000]


def _workbook(sheets: dict[str, list[list[str]]]) -> bytes:
    book = openpyxl.Workbook()
    del book["Sheet"]
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append([float(cell) if re.fullmatch(r"\d{1,6}(\.\d+)?", cell) else _plain(cell) for cell in row])
    stream = io.BytesIO()
    book.save(stream)
    # without the clock of the library, so that a seed repeats
    return _packed({name: part for name, part in _parts(stream.getvalue()).items() if name != "docProps/core.xml"})


def _parts(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def _packed(parts: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, part in parts.items():
            archive.writestr(zipfile.ZipInfo(name), part, zipfile.ZIP_DEFLATED)
    return stream.getvalue()


def _open_document(sheets: dict[str, list[list[str]]]) -> bytes:
    def escaped(text: str) -> str:
        return _plain(text).replace("&", "&amp;").replace("<", "&lt;")

    tables = "".join(
        f'<table:table table:name="{name}">'
        + "".join(
            '<table:table-row table:number-rows-repeated="1">'
            + "".join(
                '<table:table-cell table:number-columns-repeated="1" office:value-type="string">'
                f"<text:p>{escaped(cell)}</text:p></table:table-cell>"
                for cell in row
            )
            + "</table:table-row>"
            for row in rows
        )
        + "</table:table>"
        for name, rows in sheets.items()
    )
    head = f'<?xml version="1.0"?><office:document-content {_NAMES}><office:body><office:spreadsheet>'
    tail = "</office:spreadsheet></office:body></office:document-content>"
    return _packed({"content.xml": f"{head}{tables}{tail}".encode()})


def _spoilt_archive(data: bytes, chance: random.Random) -> bytes:
    """Values of its parts replaced, parts left out or added, or bytes of the archive itself."""
    change = chance.random()
    if change < 0.1:
        broken = bytearray(data)
        for _ in range(chance.randint(1, 4)):
            broken[chance.randrange(len(broken))] = chance.randrange(256)
        return bytes(broken)
    parts = _parts(data)
    names = sorted(parts)
    if change < 0.2:
        name = chance.choice(names)
        parts.pop(name)
        parts[chance.choice(["xl/vbaProject.bin", "xl/externalLinks/externalLink1.xml", "../evil", name.upper()])] = (
            b"<a/>"
        )
    elif change < 0.7:
        sheets = [name for name in names if "sheet" in name or "content" in name]
        for _ in range(chance.randint(1, 3)):
            name = chance.choice(sheets or names)
            parts[name] = _spoilt_xml(parts[name].decode("utf-8", "replace"), chance).encode("utf-8", "replace")
    return _packed(parts)


def _spoilt_xml(text: str, chance: random.Random) -> str:
    places = list(_IN_XML.finditer(text))
    if not places:
        return text
    place = chance.choice(places)
    value = _plain(
        chance.choice([*_NUMBERS, "A1:XFD1048576", "ZZZ9999999", "n", "e", "s", "b", "d", "#REF!", "1999-99-99"])
    )
    return f"{text[: place.start() + 1]}{value}{text[place.end() - 1 :]}"


@cache
def _plan() -> str:
    """A small plan as a text: walls, two doors with swings, one of them a block, a room with its words, dimensions."""
    doc: Any = ezdxf.new("R2010", setup=True)
    doc.header["$INSUNITS"] = 4
    space = doc.modelspace()
    for name in ("A-WALL", "A-DOOR", "A-AREA", "A-ANNO"):
        doc.layers.add(name)
    for x0, y0, x1, y1 in (
        (0, 0, 4000, 0),
        (4900, 0, 9000, 0),
        (9000, 0, 9000, 6000),
        (0, 6000, 9000, 6000),
        (0, 0, 0, 6000),
    ):
        space.add_line((x0, y0), (x1, y1), dxfattribs={"layer": "A-WALL"})
        space.add_line((x0, y0 + 150), (x1, y1 + 150), dxfattribs={"layer": "A-WALL"})
    space.add_arc((4000, 0), 900, 0, 90, dxfattribs={"layer": "A-DOOR"})
    space.add_line((4000, 0), (4000, 900), dxfattribs={"layer": "A-DOOR"})
    block = doc.blocks.new("DOOR-900")
    block.add_arc((0, 0), 900, 0, 90)
    block.add_lwpolyline([(0, 0), (0, 900), (40, 900), (40, 0)], close=True)
    block.add_attdef("MARK", (100, 100), height=100)
    reference = space.add_blockref("DOOR-900", (6000, 6000), dxfattribs={"layer": "A-DOOR", "rotation": 180})
    reference.add_auto_attribs({"MARK": "102"})
    space.add_text("101", height=150, dxfattribs={"layer": "A-ANNO", "insert": (4300, 300)})
    space.add_mtext(
        "OFFICE\\P101", dxfattribs={"layer": "A-ANNO", "insert": (2000, 3000), "char_height": 200, "width": 1500}
    )
    space.add_lwpolyline([(0, 0), (9000, 0), (9000, 6000), (0, 6000)], close=True, dxfattribs={"layer": "A-AREA"})
    space.add_hatch(dxfattribs={"layer": "A-WALL"}).paths.add_polyline_path(
        [(0, 0), (150, 0), (150, 6000), (0, 6000)], is_closed=True
    )
    space.add_spline([(0, 0), (500, 500), (1000, 0)])
    space.add_ellipse((500, 500), (300, 0), 0.5)
    stream = io.StringIO()
    doc.write(stream)
    return stream.getvalue()


def _spoilt_plan(chance: random.Random) -> bytes:
    """Values behind group codes replaced, tags left out or twice; mostly of the entities, where plans are read."""
    lines = _plan().split("\n")
    begin = 0 if chance.random() < 0.2 else lines.index("ENTITIES") if chance.random() < 0.8 else lines.index("BLOCKS")
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(begin // 2, len(lines) // 2 - 1) * 2
        change = chance.random()
        if change < 0.75:
            lines[at + 1] = chance.choice([*_NUMBERS, *VALUES]).replace("\n", " ")
        elif change < 0.85:
            lines[at] = chance.choice(["0", "10", "40", "42", "50", "70", "1", "2", "330", "999", "-5", "x", "1071"])
        elif change < 0.95:
            del lines[at : at + 2 * chance.randint(1, 6)]
        else:
            lines[at:at] = lines[at : at + 2 * chance.randint(1, 40)] * chance.randint(1, 3)
    text = "\n".join(lines)
    return (text[: chance.randrange(len(text))] if chance.random() < 0.05 else text).encode("utf-8", "surrogatepass")
