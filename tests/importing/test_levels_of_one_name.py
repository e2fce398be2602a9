"""A storey that documents write in several ways is one level, and the report says so; what may be two is asked."""

from __future__ import annotations

from pathlib import Path

import pytest

from riserkit.importing.facts import At, DoorFact, Facts, LevelFact
from riserkit.importing.gather import gather
from riserkit.importing.levels import KnownLevel
from riserkit.importing.settings import ImportSettings
from riserkit.results.import_site import import_documents
from tests.importing.tables import rows, texts


def levels(
    *documents: Facts, known: tuple[KnownLevel, ...] = (), settings: ImportSettings | None = None
) -> tuple[set[str], str]:
    found = gather(documents, settings or ImportSettings(), known)
    return {level.identity for level in found.levels}, "\n".join(
        f"{note.severity}: {note.text}" for note in found.notes
    )


def listed(document: str, *names: str) -> Facts:
    rows = tuple(DoorFact(At(document, f"row {n}"), mark=f"{document} {n}", level=x) for n, x in enumerate(names))
    return Facts(document, "list", doors=rows)


def model(*storeys: tuple[str, float | None]) -> Facts:
    return Facts("a.ifc", "model", levels=tuple(LevelFact(At("a.ifc", x), x, x, high_m) for x, high_m in storeys))


@pytest.mark.parametrize("other", ["01", "L1", "L01", "Level 1", "LEVEL 01", "1st floor", "First floor", "Floor 1"])
def test_one_storey_is_one_level(other: str, tmp_path: Path) -> None:
    path = tmp_path / "doors.csv"
    path.write_text(f"Door,Level,Lock\n101,1,Maglock 24 V\n102,{other},Maglock 24 V\n103,2,Maglock 24 V\n", "utf-8")
    import_documents([path], tmp_path / "site")
    assert sorted(rows(tmp_path / "site", "levels")) == ["1", "2"]
    assert {mark: door["level"] for mark, door in rows(tmp_path / "site", "openings").items()} == {
        "101": "1",
        "102": "1",
        "103": "2",
    }
    assert f"level {other} is 1: both are storey 1" in texts(tmp_path / "site", "inferred")


def test_storeys_of_several_documents() -> None:
    found, told = levels(listed("a.csv", "1", "2"), listed("b.csv", "L1", "Level 02"))
    assert found == {"1", "2"}
    assert told.count("inferred: level L") == 2


@pytest.mark.parametrize("other", ["B1", "L-1", "101", "Level 1 mezzanine", "1A", "Wing 1"])
def test_other_names_stay_levels_of_their_own(other: str) -> None:
    found, told = levels(listed("a.csv", "1", other))
    assert len(found) == 2
    assert "both are storey" not in told


def test_storeys_that_a_model_keeps_apart_stay_apart() -> None:
    assert len(levels(model(("L1", None), ("Level 1", None)))[0]) == 2
    assert len(levels(listed("a.csv", "1"), model(("L1", 0.0)))[0]) == 1


def test_a_level_at_another_height_is_another() -> None:
    known = (KnownLevel("L1", "", 4.0),)
    assert levels(model(("Level 1", 0.0)), known=known)[0] == {"Level-1"}
    assert levels(model(("Level 1", 4.0)), known=known)[0] == {"L1"}


def test_counted_storeys_beside_a_ground_floor_are_asked() -> None:
    """Above a ground floor the first floor may be what others call level 2."""
    found, told = levels(listed("a.csv", "Ground floor", "First floor"), listed("b.csv", "Level 1"))
    assert len(found) == 3
    assert "question: level Level 1 may be First-floor or a storey beside it" in told
    both, told = levels(listed("a.csv", "Ground floor", "First floor"), listed("b.csv", "Level 0", "Level 1"))
    assert len(both) == 2
    assert "question: level" not in told.replace("question: level Ground", "").replace("question: level First", "")


def test_what_import_toml_says_is_not_taken_for_another() -> None:
    settings = ImportSettings(levels={"01": "L01"})
    assert levels(listed("a.csv", "1", "01"), settings=settings)[0] == {"1", "L01"}


def test_levels_that_a_letter_stands_for_are_told() -> None:
    found, told = levels(listed("a.csv", "Level P"), known=(KnownLevel("LP", "", None),))
    assert not found - {"LP"}
    assert "level Level P is LP: L stands for level" in told


def test_a_storey_below_the_ground_is_not_the_one_above_it() -> None:
    """`R-1` was `R+1`, `Level -2` was `Level 2`, and `-3` was 3, of which nothing was said."""
    found, told = levels(listed("a.csv", "RDC", "R+1", "R-1", "Level 2", "Level -2", "-2", "3", "-3"))
    assert found == {"RDC", "R-plus-1", "R-1", "Level-2", "Level-minus-2", "3", "minus-3"}
    assert "level -2 is Level-minus-2: both are storey -2" in told
    assert levels(listed("a.csv", "Level-2"), listed("b.csv", "Level 2"))[0] == {"Level-2"}
