"""Plans and lists of offices that draft and write otherwise: leaders, fills, leaves without arcs, other languages, struck words."""

from __future__ import annotations

import math
import zipfile
from collections.abc import Callable
from pathlib import Path

import ezdxf
import openpyxl
import pytest
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from riserkit_dxf_plan.plan import read_plan

from riserkit.importing.facts import Facts
from riserkit.importing.settings import DocumentSettings
from riserkit.results.import_site import import_documents
from tests.importing.small_plans import DOORS, SmallPlan
from tests.importing.tables import rows, texts


def _as_drawn(facts: Facts) -> None:
    """Each of the eight doors once, with place, width, hinge, side and mark."""
    assert len(facts.doors) == len(DOORS)
    for true in DOORS:
        (door,) = [d for d in facts.doors if d.at_m and math.dist(d.at_m, (true.x, true.y)) < 0.05]
        assert door.width_m == pytest.approx(true.width, abs=0.015)
        assert door.hinge_m is not None and math.dist(door.hinge_m, true.hinge) < 0.1
        assert door.swings_deg == pytest.approx(true.swings_deg, abs=2)
        assert door.mark == true.mark


def _anonymous_with_leaders(plan: SmallPlan) -> None:
    """Saved dynamic blocks, leaves at 45 degrees; marks in circles that stand nearer to another door, with a leader."""
    for n, door in enumerate(DOORS):
        block, wide = plan.doc.blocks.new(f"*U{n + 12}"), door.width / plan.unit_m
        block.add_line((0, 0), (wide * math.sqrt(0.5), wide * math.sqrt(0.5)))
        block.add_arc((0, 0), wide, 0, 45)
        turn = 0.0 if door.hinge_first else 180.0
        mirrored = -1.0 if (door.hinge_first != door.left) else 1.0
        plan.model.add_blockref(
            block.name, plan.at(door.hinge), dxfattribs={"layer": plan.doors, "rotation": turn, "yscale": mirrored}
        )
        spot = (door.x + 1.1, door.y + (1.3 if door.left else -1.3))
        plan.model.add_circle(plan.at(spot), 0.3 / plan.unit_m, dxfattribs={"layer": plan.marks})
        plan.text(door.mark, spot, plan.marks)
        rim = (spot[0] - 0.2, spot[1] - (0.2 if door.left else -0.2))
        plan.model.add_leader([plan.at((door.x, door.y)), plan.at(rim)], dxfattribs={"layer": plan.marks})


def _lines_as_leaders(plan: SmallPlan) -> None:
    """The same with a line in place of the leader."""
    _anonymous_with_leaders(plan)
    for leader in list(plan.model.query("LEADER")):
        a, b = leader.vertices[0], leader.vertices[-1]
        plan.model.add_line(a, b, dxfattribs={"layer": plan.marks})
        plan.model.delete_entity(leader)


def _leaves_alone(plan: SmallPlan) -> None:
    """A line at 45 degrees for the leaf, no arc."""
    for door in DOORS:
        plan.line(door.hinge, door.opened(45), plan.doors)
    plan.tags()


def _fills(plan: SmallPlan) -> None:
    """A filled quarter of a circle for the swing, no line."""
    for door in DOORS:
        hatch = plan.model.add_hatch(dxfattribs={"layer": plan.doors})
        edges = hatch.paths.add_edge_path()
        (x, y), tip = plan.at(door.hinge), plan.at(door.opened(90))
        closed = plan.at(door.opened(0))
        start, end = (math.degrees(math.atan2(p[1] - y, p[0] - x)) for p in (closed, tip))
        if (end - start) % 360 > 180:
            start, end, closed, tip = end, start, tip, closed
        edges.add_line((x, y), closed)
        edges.add_arc((x, y), door.width / plan.unit_m, start, end)
        edges.add_line(tip, (x, y))
    plan.tags()


@pytest.mark.parametrize("drawn", [_anonymous_with_leaders, _lines_as_leaders, _leaves_alone, _fills])
def test_doors_of_rare_kinds(drawn: Callable[[SmallPlan], None], tmp_path: Path) -> None:
    plan = SmallPlan()
    drawn(plan)
    _as_drawn(read_plan(plan.save(tmp_path / "plan.dxf"), DocumentSettings()))


def test_lines_at_both_jambs_tell_no_leaf(tmp_path: Path) -> None:
    """Two lines of a gap that contradict each other are asked, not taken."""
    plan = SmallPlan()
    for door in DOORS:
        plan.line(door.hinge, door.opened(45), plan.doors)
    true = DOORS[0]
    plan.line(true.opened(0), (true.hinge[0] + 0.35, true.hinge[1] + 0.7), plan.doors)
    facts = read_plan(plan.save(tmp_path / "plan.dxf"), DocumentSettings())
    assert len(facts.doors) == len(DOORS) - 1
    assert any("gaps in walls are as wide as doors" in note.text for note in facts.notes)


def test_a_mark_of_two_leaders_is_told_by_place(tmp_path: Path) -> None:
    """One mark that is led to two doors is of neither by its leader."""
    plan = SmallPlan()
    _anonymous_with_leaders(plan)
    tag = next(t for t in plan.model.query("TEXT") if t.dxf.text == "101")
    plan.model.add_leader([plan.at((2.5, 6.0)), tag.dxf.align_point], dxfattribs={"layer": plan.marks})
    facts = read_plan(plan.save(tmp_path / "plan.dxf"), DocumentSettings())
    assert all("leader" not in door.inferred.get("mark", "") for door in facts.doors if door.mark == "101")


def test_attributes_levels_and_rooms_in_other_languages(tmp_path: Path) -> None:
    plan = SmallPlan(1.0, 6, ("MUROS", "PUERTAS", "NUMEROS", "LOCALES"))
    block = plan.doc.blocks.new("PUERTA_BATIENTE")
    block.add_line((0, 0), (0, 1))
    block.add_arc((0, 0), 1, 0, 90)
    for n, tag in enumerate(("HOJA", "NUM_PUERTA")):
        block.add_attdef(tag, (0.3, 0.1 * n), dxfattribs={"height": 0.1})
    for door in DOORS:
        turn = 0.0 if door.hinge_first else 180.0
        high = door.width * (-1.0 if (door.hinge_first != door.left) else 1.0)
        placed = plan.model.add_blockref(
            block.name, plan.at(door.hinge),
            dxfattribs={"layer": plan.doors, "rotation": turn, "xscale": door.width, "yscale": high},
        )  # fmt: skip
        placed.add_auto_attribs({"NUM_PUERTA": door.mark, "HOJA": f"{door.width * 100:.0f}"})
    sliding = plan.doc.blocks.new("CORREDERA_90")
    sliding.add_lwpolyline([(-0.45, 0.1), (0.45, 0.1), (0.45, 0.14), (-0.45, 0.14)], close=True)
    plan.text("Sala 201 Taller", (2.5, 11.0), plan.rooms)
    plan.text("Despacho 2", (7.5, 11.0), plan.rooms)
    plan.text("PLANTA BAJA", (10.0, -2.0), "TEXTO", 0.4)
    facts = read_plan(plan.save(tmp_path / "plan.dxf"), DocumentSettings())
    _as_drawn(facts)
    assert [level.name for level in facts.levels] == ["Planta baja"]
    assert {(room.number, room.name) for room in facts.rooms} == {("201", "Taller"), ("", "Despacho 2")}


def test_words_of_a_multileader_are_a_mark(tmp_path: Path) -> None:
    plan = SmallPlan()
    for door in DOORS:
        plan.line(door.hinge, door.opened(90), plan.doors)
        builder = plan.model.add_multileader_mtext("Standard", dxfattribs={"layer": plan.marks})
        builder.set_content(door.mark, char_height=0.15 / plan.unit_m)
        arrow = ezdxf.math.Vec2(plan.at((door.x, door.y)))
        builder.add_leader_line(ezdxf.render.mleader.ConnectionSide.left, [arrow])
        builder.build(insert=ezdxf.math.Vec2(plan.at((door.x + 0.8, door.y + (1.2 if door.left else -1.2)))))
    facts = read_plan(plan.save(tmp_path / "plan.dxf"), DocumentSettings())
    _as_drawn(facts)


def test_no_name_of_a_room_is_seen_through_another_door(tmp_path: Path, site: Path) -> None:
    """From door 101 the store beyond door 105 across the corridor is nearer than the corridor's own name."""
    plan = SmallPlan()
    for door in DOORS:
        plan.line(door.hinge, door.opened(90), plan.doors)
    plan.tags()
    plan.text("OFFICE 201", (2.5, 11.0), plan.rooms)
    plan.text("STORE 205", (2.5, 3.0), plan.rooms)
    plan.text("CORRIDOR 200", (9.0, 7.0), plan.rooms)
    import_documents([plan.save(tmp_path / "plan.dxf")], site)
    doors = rows(site, "openings")
    assert (doors["101"]["secured_side"], doors["101"]["unsecured_side"]) == ("201 OFFICE", "200 CORRIDOR")
    assert (doors["105"]["secured_side"], doors["105"]["unsecured_side"]) == ("205 STORE", "200 CORRIDOR")


def _german(path: Path) -> Path:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet["A1"] = "Neubau Labor - Türliste"
    sheet.merge_cells("A1:I1")
    for place, text in {
        "A3": "Tür", "A4": "Nr.", "B4": "Geschoss", "C3": "Lichte Maße", "C4": "Breite", "D4": "Höhe", "C5": "cm", "D5": "cm",
        "E3": "Anschlag", "F3": "Brandschutz", "G3": "Raum", "G4": "von", "H4": "nach",
        "I3": "Beschlag-\nsatz", "J3": "Zutritts-\nkontrolle",
    }.items():  # fmt: skip
        sheet[place] = text
    for merged in ("A3:B3", "C3:D3", "E3:E5", "F3:F5", "G3:H3", "I3:I5", "J3:J5", "A4:A5", "B4:B5", "G4:G5", "H4:H5"):
        sheet.merge_cells(merged)
    for row in (
        ("T1.01a", "EG", "101,0", "213,5", "DIN links", "T30", "Flur", "Büro", "B1", "ja"),
        ("T1.02b", "EG", "88,5", "213,5", "DIN rechts", "-", "Flur", "Lager", "B2", "ja"),
        ("T1.03", "OG 1", "101,0", "213,5", "DIN links", "T30", "Flur", "Technik", "B3", "nein"),
        ("T1.04", "OG 1", "201,0", "213,5", "2-flg.", "T90", "Flur", "Labor", "B3", "ja"),
    ):
        sheet.append(row)
    sets = book.create_sheet("Beschläge")
    sets.append(["Satz", "Pos.", "Bezeichnung", "Menge"])
    for item in (
        ("B1", 1, "Elektrischer Türöffner 12 V, Arbeitsstrom", 1), ("B1", 2, "Türkontakt", 1),
        ("B2", 1, "Haftmagnet 12 V", 1), ("B2", 2, "Nottaster grün", 1), ("B3", 1, "Elektrischer Türöffner 24 V, Ruhestrom", 1),
    ):  # fmt: skip
        sets.append(item)
    book.save(path)
    return path


def test_a_german_list_with_headings_over_three_rows(tmp_path: Path, site: Path) -> None:
    import_documents([_german(tmp_path / "liste.xlsx")], site)
    doors = rows(site, "openings")
    assert sorted(doors) == ["T1.01a", "T1.02b", "T1.04"]
    one, two, four = (doors[mark] for mark in sorted(doors))
    assert (one["width_m"], one["height_m"], one["fire_rating_min"], one["level"]) == ("1.01", "2.135", "30", "EG")
    assert (one["secured_side"], one["unsecured_side"]) == ("Büro", "Flur")
    assert (one["lock"], one["fail_mode"], one["contact"]) == ("strike-12-secure", "fail-secure", "contact-reed")
    assert (two["lock"], two["release"], two["fire_rating_min"]) == ("magnet-12-300", "release-30", "0")
    assert (four["type"], four["width_m"], four["lock"], four["fail_mode"]) == (
        "double",
        "2.01",
        "strike-24-safe",
        "fail-safe",
    )
    assert "Anschlag: DIN links" in one["remarks"]
    assert "hands that do not say which room they are seen from stand in the remarks" in texts(site, "left")


def test_a_french_list_in_an_old_code_page_and_the_plan_of_its_storey(tmp_path: Path, site: Path) -> None:
    """Semicolons, decimal commas, cp1252; the storey R+1 is the one that the plan calls Niveau R+1, and no basement."""
    lines = ["Liste des portes;;;;;;", "Repère;Niveau;Largeur (m);Hauteur (m);Sens;Contrôle d'accès;Quincaillerie"]
    for door in DOORS:
        width = f"{door.width:.2f}".replace(".", ",")
        lines.append(f"{door.mark};R+1;{width};2,04;gauche poussant;{'oui' if door.mark != '108' else 'non'};"
                     "Gâche électrique 12 V à émission, contact de porte")  # fmt: skip
    (tmp_path / "portes.csv").write_bytes("\r\n".join(lines).encode("cp1252"))
    plan = SmallPlan(0.01, 5, ("CLOISONS", "MENUISERIES", "REPERES", "PIECES"))
    for door in DOORS:
        plan.line(door.hinge, door.opened(90), plan.doors)
    plan.tags()
    plan.text("NIVEAU R+1", (10.0, -2.0), "CARTOUCHE", 0.4)
    import_documents([plan.save(tmp_path / "plan.dxf"), tmp_path / "portes.csv"], site)
    doors = rows(site, "openings")
    assert sorted(doors) == [door.mark for door in DOORS if door.mark != "108"]
    assert len(rows(site, "levels")) == 1
    for true in DOORS[:-1]:
        found = doors[true.mark]
        assert (found["x_m"], found["width_m"], found["height_m"]) == (f"{true.x:g}", f"{true.width:g}", "2.04")
        assert (found["lock"], found["fail_mode"], found["contact"]) == (
            "strike-12-secure",
            "fail-secure",
            "contact-reed",
        )


def test_devices_as_headings_with_ticks_and_a_sign_between_thousands(tmp_path: Path, site: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    for place, text in {
        "A1": "OPENING", "D1": "HARDWARE", "A2": "NO.", "B2": "SIZE", "C2": "LABEL", "D2": "GROUP", "E2": "ELECTRIFIED",
        "E3": "STRIKE 24V FAIL SECURE", "F3": "DPS",
    }.items():  # fmt: skip
        sheet[place] = text
    for merged in ("A1:C1", "D1:F1", "E2:F2", "A2:A3", "B2:B3", "C2:C3", "D2:D3"):
        sheet.merge_cells(merged)
    sheet.append(["101A", "900x2100", "90 MIN", "HW-04", "X", "X"])
    sheet.append(["101B", "1.600x2.100", "45", "HW-04", "X", ""])
    sheet.append(["101C", "900x2100", "45", "HW-05", "", ""])
    book.save(tmp_path / "openings.xlsx")
    import_documents([tmp_path / "openings.xlsx"], site)
    doors = rows(site, "openings")
    assert [(d["width_m"], d["lock"], d["contact"]) for d in doors.values()] == [
        ("0.9", "strike-24-secure", "contact-reed"), ("1.6", "strike-24-secure", ""),
        ("0.9", "", ""),
    ]  # fmt: skip
    assert "hardware set: HW-04" in doors["101A"]["remarks"]


def test_a_width_below_any_door_is_asked(tmp_path: Path, site: Path) -> None:
    (tmp_path / "doors.csv").write_text("Door No.,Width (mm),Access Control,Level\n101,9.15,yes,1\n102,915,yes,1\n")
    import_documents([tmp_path / "doors.csv"], site)
    assert rows(site, "openings")["101"]["width_m"] == ""
    assert "0.00915 m is no width of a door" in texts(site, "question")


GONE = InlineFont(strike=True)


def test_words_struck_out_inside_a_cell_are_not_read(tmp_path: Path, site: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Door No.", "Width (mm)", "Access Control", "Hardware"])
    strike = "Electric strike 12 V, fail-secure"
    sheet.append(["101", 915, "Yes", CellRichText(TextBlock(GONE, "Electromagnetic lock 24 V"), f" {strike}")])
    sheet.append(["102", CellRichText(TextBlock(GONE, "915"), "1015"), "Yes", strike])
    sheet.append(["103", 915, CellRichText(TextBlock(GONE, "Yes"), " No"), "Mechanical"])
    sheet.append(["104", 915, "Yes", CellRichText(TextBlock(GONE, strike))])
    book.save(tmp_path / "doors.xlsx")
    import_documents([tmp_path / "doors.xlsx"], site)
    doors = rows(site, "openings")
    assert sorted(doors) == ["101", "102", "104"]
    assert [d["width_m"] for d in doors.values()] == ["0.915", "1.015", "0.915"]
    assert {d["lock"] for d in doors.values()} == {"strike-12-secure"}
    told = texts(site, "inferred")
    assert "'Electromagnetic lock 24 V' is struck out in the cell and is not read" in told
    assert "cells that are struck out are read all the same: D5" in told


def test_words_struck_out_inside_a_cell_of_an_open_document(tmp_path: Path, site: Path) -> None:
    names = {
        "office": "office", "table": "table", "text": "text", "style": "style",
    }  # fmt: skip
    spaces = " ".join(f'xmlns:{n}="urn:oasis:names:tc:opendocument:xmlns:{v}:1.0"' for n, v in names.items())
    cell = '<table:table-cell office:value-type="string"><text:p>{}</text:p></table:table-cell>'
    table = [
        ["Door No.", "Width (mm)", "Access Control"],
        ["101", '<text:span text:style-name="T1">915</text:span>1015', "Yes"],
    ]
    body = "".join("<table:table-row>" + "".join(cell.format(c) for c in row) + "</table:table-row>" for row in table)
    style = (
        '<style:style style:name="T1" style:family="text"><style:text-properties'
        ' style:text-line-through-style="solid"/></style:style>'
    )
    content = (
        f"<office:document-content {spaces}><office:automatic-styles>{style}</office:automatic-styles><office:body>"
        f'<office:spreadsheet><table:table table:name="A">{body}</table:table></office:spreadsheet></office:body>'
        "</office:document-content>"
    )
    with zipfile.ZipFile(tmp_path / "doors.ods", "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", content)
    import_documents([tmp_path / "doors.ods"], site)
    assert rows(site, "openings")["101"]["width_m"] == "1.015"
    assert "'915' is struck out in the cell and is not read; '1015' is" in texts(site, "inferred")
