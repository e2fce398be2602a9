"""Plans that are not whole, and doors that are marked and not drawn as swings: neither is passed over."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from riserkit.model.problems import InputError
from riserkit.results.import_site import import_documents
from tests.importing.small_plans import DOORS, SmallPlan
from tests.importing.tables import rows, texts


def _drawn(path: Path, without: str = "") -> Path:
    """Leaves as lines; of the door that is left out only the gap and the mark."""
    plan = SmallPlan()
    for door in DOORS:
        if door.mark != without:
            plan.line(door.hinge, door.opened(45), plan.doors)
    plan.tags()
    return plan.save(path)


def test_a_plan_that_is_cut_short_is_asked_about(tmp_path: Path, site: Path) -> None:
    """The drawing library reads what is there and says nothing of what is missing."""
    whole = _drawn(tmp_path / "plan.dxf").read_bytes()
    (tmp_path / "plan.dxf").write_bytes(whole[: whole.index(b"OBJECTS") + 2000])
    import_documents([tmp_path / "plan.dxf"], site)
    assert "it is cut short: what was drawn behind the cut is missing" in texts(site, "question")


@pytest.mark.parametrize("part", ["nothing", "its head", "half of what is drawn"])
def test_a_plan_of_which_nothing_is_left_is_refused(part: str, tmp_path: Path, site: Path) -> None:
    """It was imported as a level with no door, in inches, without a word of the cut."""
    whole = _drawn(tmp_path / "plan.dxf").read_bytes()
    half = (whole.index(b"ENTITIES") + whole.index(b"OBJECTS")) // 2
    cut = {"nothing": 0, "its head": 5000, "half of what is drawn": half}[part]
    (tmp_path / "plan.dxf").write_bytes(whole[:cut])
    with pytest.raises(InputError, match="empty or cut short, and nothing drawn can be read of it"):
        import_documents([tmp_path / "plan.dxf"], site)
    assert not site.exists()


@pytest.mark.parametrize("fmt", ["asc", "bin"])
def test_a_whole_plan_is_not_asked_about(fmt: str, tmp_path: Path, site: Path) -> None:
    doc = ezdxf.readfile(_drawn(tmp_path / "plan.dxf"))
    doc.saveas(tmp_path / "plan.dxf", fmt=fmt)
    if fmt == "asc":
        with (tmp_path / "plan.dxf").open("ab") as stream:
            stream.write(b"\r\n\x1a")
    import_documents([tmp_path / "plan.dxf"], site)
    assert len(rows(site, "openings")) == len(DOORS)
    assert "cut short" not in texts(site, "question")


def test_a_gap_with_a_door_s_mark_is_asked_about(tmp_path: Path, site: Path) -> None:
    """A sliding door has no swing; that it has a mark says that it is a door."""
    import_documents([_drawn(tmp_path / "plan.dxf", without="103")], site)
    assert "103" not in rows(site, "openings")
    asked = texts(site, "question")
    assert "1 gaps in walls have a door's mark beside them and no swing" in asked
    assert "103 at 12500, 8000" in asked
