"""Two documents that say otherwise of the same doors: asked once for all of them, and not again once the user has answered."""

from __future__ import annotations

from pathlib import Path

import pytest

from riserkit.importing.asked_once import asked_once
from riserkit.importing.facts import At, DocumentNote, DoorFact, Facts, RoomFact
from riserkit.importing.gather import gather
from riserkit.importing.rows import rows_of
from riserkit.importing.settings import ImportSettings
from riserkit.model.catalogue import PARTS
from riserkit.results.import_site import import_documents
from tests.importing.tables import report, rows, set_cells, texts

LIST, MODEL = "doors.csv", "house.ifc"


def _documents(count: int = 100) -> list[Facts]:
    """A list and a model of the same doors, 34 mm apart in height; the list has no access control at the last ten."""
    listed = tuple(
        DoorFact(At(LIST, f"row {n}"), f"{n}", f"{n}", width_m=0.9, height_m=2.1, controlled=n <= count - 10)
        for n in range(1, count + 1)
    )
    drawn = tuple(
        DoorFact(At(MODEL, f"#{n}"), f"#{n}", f"{n}", at_m=(float(n), 0.0), width_m=0.9, height_m=2.134)
        for n in range(1, count + 1)
    )
    return [Facts(LIST, "list", doors=listed), Facts(MODEL, "model", doors=drawn)]


def test_a_hundred_doors_are_asked_about_once() -> None:
    found = gather(_documents(), ImportSettings(), ())
    assert {door.height_m for door in found.doors} == {2.1}
    (asked,) = [note for note in asked_once(found.notes) if note.severity == "question"]
    # Doors without access control become no openings, and nobody needs to know how high they are.
    assert asked.text == f"90 doors: height_m of {LIST} is taken, not of {MODEL}: 2.1, not 2.134 (1 to 9, 10 to 90)"
    assert f'doors.holds = ["{LIST}"]' in asked.remedy


@pytest.mark.parametrize(("holds", "height_m"), [((LIST,), 2.1), ((MODEL, LIST), 2.134)])
def test_an_answer_settles_it(holds: tuple[str, ...], height_m: float) -> None:
    settings = ImportSettings.model_validate({"doors": {"holds": holds}})
    found = gather(_documents(), settings, ())
    assert {door.height_m for door in found.doors} == {height_m}
    notes = asked_once(found.notes)
    assert not [note for note in notes if note.severity == "question"]
    assert any(f"height_m of {holds[0]} is taken" in note.text for note in notes if note.severity == "inferred")


def test_different_questions_stay_apart() -> None:
    at = At(LIST)
    asked = [
        DocumentNote("question", at, "2.1, not 2.0", asks="height_m", door="1"),
        DocumentNote("question", at, "a cell is wrong"),
        DocumentNote("question", at, "0.9, not 0.8", asks="width_m", door="1"),
        DocumentNote("question", at, "2.2, not 2.0", asks="height_m", door="2"),
    ]
    assert [note.text for note in asked_once(asked)] == [
        "2 doors: height_m: 2.1, not 2.0 (1); 2.2, not 2.0 (2)", "a cell is wrong", "door 1: width_m: 0.9, not 0.8",
    ]  # fmt: skip


def test_a_document_that_holds_and_is_none_is_named(tmp_path: Path, site: Path) -> None:
    path = tmp_path / LIST
    path.write_text("Door No,Width (mm),Level\n1,900,1\n", "utf-8")
    site.mkdir()
    (site / "import.toml").write_text('[doors]\nholds = ["dors.csv"]\n', "utf-8")
    import_documents([path], site)
    assert "doors.holds: dors.csv is none of those imported" in texts(site, "left")


def test_a_place_that_the_table_has_is_not_asked_for(tmp_path: Path, site: Path) -> None:
    path = tmp_path / LIST
    path.write_text("Door No,Width (mm),Level\n1,900,1\n2,900,1\n", "utf-8")
    import_documents([path], site)
    assert "2 openings have no place: 1, 2" in texts(site, "question")
    set_cells(site, "openings", "1", x_m="3", y_m="4")
    import_documents([path], site)
    assert "1 opening has no place: 2" in texts(site, "question")
    set_cells(site, "openings", "2", x_m="3", y_m="4")
    import_documents([path], site)
    assert not [line for line in report(site, "question") if "place" in line["text"]]
    assert set(rows(site, "openings")) == {"1", "2"}


def _between(secured: str, unsecured: str) -> tuple[dict[str, str], list[str]]:
    """What becomes of a door between two drawn rooms that a list puts between these: its cells, and what is asked."""
    outline = ((0.0, 0.0), (9.0, 0.0), (9.0, 4.0), (0.0, 4.0))
    rooms = (
        RoomFact(At(MODEL), "a", "L1", "12", "Records", outline_m=outline),
        RoomFact(At(MODEL), "b", "L1", "13", "North corridor", outline_m=tuple((x, y - 4) for x, y in outline)),
    )
    drawn = DoorFact(At(MODEL, "#1"), "#1", "1", level="L1", at_m=(4.0, 0.0), angle_deg=0.0, width_m=0.9)
    listed = DoorFact(At(LIST, "row 2"), "1", "1", stated={"secured_side": secured, "unsecured_side": unsecured})
    documents = [Facts(LIST, "list", doors=(listed,)), Facts(MODEL, "model", rooms=rooms, doors=(drawn,))]
    made = rows_of(gather(documents, ImportSettings(), ()), ImportSettings(), PARTS)
    (row,) = made.tables["openings"]
    asked = [note.text for note in made.notes if note.severity == "question" and "side" in note.text]
    return {name: cell.text for name, cell in row.cells.items()}, asked


@pytest.mark.parametrize(
    "sides", [("12", "13"), ("Records", "Corridor"), ("12 Records", "NORTH CORRIDOR"), ("", "")], ids=str
)
def test_rooms_that_the_list_and_the_drawing_call_alike_are_no_question(sides: tuple[str, str]) -> None:
    cells, asked = _between(*sides)
    assert (cells["secured_side"], cells["unsecured_side"]) == ("12 Records", "13 North corridor")
    assert not asked


def test_a_room_that_the_drawing_has_not_there_is_asked_about_and_the_list_stays() -> None:
    cells, asked = _between("Stores", "13")
    assert (cells["secured_side"], cells["unsecured_side"]) == ("Stores", "13 North corridor")
    assert asked == [
        "door 1: secured_side as stated is taken, not the room that is drawn there: Stores, not 12 Records"
    ]


def test_a_door_on_another_level_than_it_is_drawn_on_is_asked() -> None:
    """A list's `Level 1` and a model's `01 First` were two levels, and doors stood on one of them without a word of the other."""
    listed = tuple(
        DoorFact(At(LIST, f"row {n}"), "", f"{n}", level, controlled=True)
        for n, level in ((1, "Level 1"), (2, "Attic"))
    )
    drawn = tuple(DoorFact(At(MODEL, f"#{n}"), f"#{n}", f"{n}", "01 First", at_m=(float(n), 0.0)) for n in (1, 2))
    documents = [Facts(LIST, "list", doors=listed), Facts(MODEL, "model", doors=drawn)]
    asked = [
        note.text for note in asked_once(gather(documents, ImportSettings(), ()).notes) if note.severity == "question"
    ]
    told = f"2 doors: level of {LIST} is taken, not of {MODEL}: Level-1, not 01-First (1); Attic, not 01-First (2)"
    assert told in asked
    settings = ImportSettings.model_validate({"levels": {"Level 1": "01-First", "Attic": "01-First"}})
    assert not any("level of" in note.text for note in gather(documents, settings, ()).notes)
