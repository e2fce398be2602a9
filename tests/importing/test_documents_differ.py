"""Two documents that say otherwise of the same doors: asked once for all of them, and not again once the user has answered."""

from __future__ import annotations

from pathlib import Path

import pytest

from riserkit.importing.asked_once import asked_once
from riserkit.importing.facts import At, DocumentNote, DoorFact, Facts
from riserkit.importing.gather import gather
from riserkit.importing.settings import ImportSettings
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
