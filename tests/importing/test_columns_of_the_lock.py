"""A list whose lock is told by several columns, and a plan whose tags are circles with one attribute."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from riserkit.importing.hardware import understand
from riserkit.model.stock import SHIPPED_STOCK
from riserkit.results.import_site import import_documents
from tests.importing.tables import rows, texts

LIST = """Repère;Local;Passage libre;Vantaux;CF;Verrouillage;Mode;Alim.;Lecteur entrée;Lecteur sortie;Bouton de sortie;Contact;Observations
P01;Hall;1m80;coulissante;-;Ventouse;rupture;24 VDC;oui;non;oui;oui;Asservie au SSI
P02;Bureau;0,93;1;-;Gâche électrique;émission;12V;oui;non;non;oui;
P03;Archives;0,93;1;CF 1/2h;Gâche électrique;émission;12V;oui;oui;non;oui;
P04;Local;0,93;1;CF1H;;;;non;non;non;oui;Sans contrôle d'accès
P05;Salle;0,90 + 0,40;2;-;Ventouse;rupture;;oui;non;oui;oui;
"""


def _plan(path: Path) -> Path:
    """A corridor with two doors of 930 mm, their marks in circles in it."""
    document = ezdxf.new("R2013", units=4)
    model = document.modelspace()
    door = document.blocks.new("P093")
    door.add_line((0, 0), (0, 930))
    door.add_arc((0, 0), 930, 0, 90)
    tag = document.blocks.new("REP")
    tag.add_circle((0, 0), 350)
    tag.add_attdef("NUMERO", (0, 0), dxfattribs={"height": 200})
    for layer in ("MURS", "PORTES", "NUM-PORTES", "AXES", "LOCAUX"):
        document.layers.add(layer)
    for first, last in ((0, 2000), (2930, 9000), (9930, 12000)):
        for y in (6950, 7050):
            model.add_line((first, y), (last, y), dxfattribs={"layer": "MURS"})
    for x, mark in ((2000, "P02"), (9000, "P03")):
        model.add_blockref("P093", (x, 7000), dxfattribs={"layer": "PORTES"})
        model.add_blockref("REP", (x + 400, 6300), dxfattribs={"layer": "NUM-PORTES"}).add_auto_attribs(
            {"NUMERO": mark}
        )
    # the circle of a grid line, nearer to the door than its own
    axis = document.blocks.new("BULLE-AXE")
    axis.add_circle((0, 0), 300)
    axis.add_attdef("NUM", (0, 0), dxfattribs={"height": 200})
    model.add_blockref("BULLE-AXE", (2465, 6700), dxfattribs={"layer": "AXES"}).add_auto_attribs({"NUM": "7"})
    for name, place in (("BUREAU", (2400, 9000)), ("ARCHIVES", (9400, 9000)), ("CIRCULATION", (5000, 6000))):
        model.add_text(name, height=220, dxfattribs={"layer": "LOCAUX", "insert": place})
    document.saveas(path)
    return path


@pytest.fixture
def imported(tmp_path: Path) -> Path:
    (tmp_path / "portes.csv").write_text(LIST, encoding="utf-8")
    import_documents([_plan(tmp_path / "RDC.dxf"), tmp_path / "portes.csv"], tmp_path / "site")
    return tmp_path / "site"


def test_voltage_and_fail_mode_of_their_own_columns_decide_on_the_lock(imported: Path) -> None:
    doors = rows(imported, "openings")
    assert {m: (d["lock"], d["fail_mode"]) for m, d in doors.items()} == {
        "P01": ("magnet-24-600", "fail-safe"), "P02": ("strike-12-secure", "fail-secure"),
        "P03": ("strike-12-secure", "fail-secure"), "P05": ("", "fail-safe"),
    }  # fmt: skip
    assert "'Ventouse, fail-safe' may be magnet-12-300, magnet-12-600, magnet-24-600" in texts(imported, "question")


def test_a_lock_without_a_voltage_is_asked_however_strong_the_others_are() -> None:
    found = understand([("Lock", "Maglock")], SHIPPED_STOCK.parts, {})
    assert "lock" not in found.values
    assert [one.column for one in found.asked] == ["lock"]


def test_contacts_and_readers_of_either_side_are_taken(imported: Path) -> None:
    doors = rows(imported, "openings")
    assert {door["contact"] for door in doors.values()} == {"contact-reed"}
    assert {m: (d["entry"], d["reader_out"]) for m, d in doors.items()} == {
        "P01": ("reader", ""), "P02": ("reader", ""), "P03": ("reader", "reader-out"), "P05": ("reader", ""),
    }  # fmt: skip
    assert "P04" not in doors


def test_widths_and_ratings_in_the_office_s_own_forms(imported: Path) -> None:
    doors = rows(imported, "openings")
    assert {m: d["clear_width_m"] for m, d in doors.items()} == {"P01": "1.8", "P02": "0.93", "P03": "0.93", "P05": ""}
    assert "clear width: 1.3 m" in doors["P05"]["remarks"]
    assert doors["P03"]["fire_rating_min"] == "30"
    assert "Asservie au SSI" in doors["P01"]["remarks"]


def test_a_circle_with_a_number_is_the_door_s_tag_and_that_of_a_grid_line_is_not(imported: Path) -> None:
    doors = rows(imported, "openings")
    assert (doors["P02"]["x_m"], doors["P03"]["x_m"]) == ("2.465", "9.465")
    assert (doors["P02"]["secured_side"], doors["P02"]["unsecured_side"]) == ("BUREAU", "CIRCULATION")
