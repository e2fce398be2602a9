"""Building models spoilt by chance, and by hand: one broken thing is left out by name, and the rest of the model is read."""

from __future__ import annotations

import importlib.util
import random
import time
from pathlib import Path

import pytest

from riserkit.model.problems import InputError
from riserkit.results.import_site import import_documents
from tests.hostile.models import copies_of_copies, sound_model, spoilt_model
from tests.hostile.run import run_import
from tests.importing.tables import report, rows
from tests.sweep import swept

pytestmark = pytest.mark.skipif(
    importlib.util.find_spec("ifcopenshell") is None, reason="the extra ifc is not installed"
)
SEEDS = 400
FAILED_ONCE = (2, 9, 15, 18, 20, 36, 44, 65, 92, 127, 135, 810128, 810400)
"""Things that refer to nothing or to things of another kind, lengths that are none or as far as the stars,
copies of copies."""
SOON_S = 10.0


def _fails(seed: int) -> str:
    return run_import("model.ifc", spoilt_model(random.Random(seed))).failure


@swept("first", range(0, SEEDS, 20), (0,))
def test_spoilt_models_are_read_or_refused(first: int) -> None:
    for seed in range(first, first + 20):
        assert not _fails(seed), seed


@pytest.mark.parametrize("seed", FAILED_ONCE)
def test_models_that_failed_once_fail_no_more(seed: int) -> None:
    assert not _fails(seed)


BROKEN = {
    "a door without an id": ("#50=IFCDOOR('000000000000000000000C'", "#50=IFCDOOR($", 1, "it has no GlobalId"),
    "a door that is nowhere": ("'101',$,$,#47,$,'77'", "'101',$,$,#999,$,'77'", 1, "does not say where it stands"),
    "a door at a wall's place": ("'101',$,$,#47,$,'77'", "'101',$,$,#40,$,'77'", 1, "does not say in numbers where it stands"),
    "a height that is none": ("'77',2100.,", "'77','x',", 1, "a length of it is no number"),
    "a placement on itself": ("#47=IFCLOCALPLACEMENT(#7,", "#47=IFCLOCALPLACEMENT(#47,", 0, "hangs on itself"),
}  # fmt: skip


@pytest.mark.parametrize("case", BROKEN)
def test_a_broken_thing_is_left_out_by_name_and_the_rest_is_read(case: str, tmp_path: Path) -> None:
    """Lines of STEP after ISO 10303-21; attributes after ISO 16739."""
    was, now, doors, told = BROKEN[case]
    model = sound_model().replace(was.encode(), now.encode())
    assert model != sound_model()
    (tmp_path / "model.ifc").write_bytes(model)
    import_documents([tmp_path / "model.ifc"], tmp_path / "site")
    left = [line["text"] for line in report(tmp_path / "site") if line["text"].startswith("door ")]
    found = rows(tmp_path / "site", "openings") if (tmp_path / "site" / "openings.csv").exists() else {}
    assert (len(found), [told in line for line in left]) == (doors, [True] * (2 - doors)), left
    assert set(rows(tmp_path / "site", "rooms")) == {"101"}


def test_what_is_referred_to_and_not_there_is_asked_about(tmp_path: Path) -> None:
    """Else a storey's own place would be taken for that of the building, in silence."""
    (tmp_path / "model.ifc").write_bytes(
        sound_model().replace(b"#11=IFCLOCALPLACEMENT(#7,", b"#11=IFCLOCALPLACEMENT(#998,")
    )
    import_documents([tmp_path / "model.ifc"], tmp_path / "site")
    (asked,) = report(tmp_path / "site", "question")
    assert asked["text"] == "the model refers to #998 (in #11), which is not in it"


def test_a_line_that_is_none_is_named(tmp_path: Path) -> None:
    model = sound_model().replace(b"'77',2100.,", b"'77',1.E400,")
    (tmp_path / "model.ifc").write_bytes(model)
    line = model[: model.index(b"1.E400")].count(b"\n") + 1
    with pytest.raises(InputError, match=rf"it cannot be read \(line {line} is none of STEP\)"):
        import_documents([tmp_path / "model.ifc"], tmp_path / "site")


def test_a_few_lines_that_stand_for_more_walls_than_can_be_counted_have_an_end(tmp_path: Path) -> None:
    lines = "\n".join(copies_of_copies(40)).encode()
    (tmp_path / "model.ifc").write_bytes(sound_model().replace(b"\nENDSEC;\nEND-", b"\n" + lines + b"\nENDSEC;\nEND-"))
    start = time.process_time()
    import_documents([tmp_path / "model.ifc"], tmp_path / "site")
    assert time.process_time() - start < SOON_S
    assert any(line["text"] == "1 walls have no shape that can be read" for line in report(tmp_path / "site"))


@pytest.mark.parametrize("unit", [b"#2=IFCUNITASSIGNMENT(());", b"#2=IFCPERSON($,$,$,$,$,$,$,$);"])
def test_a_model_without_a_unit_of_length_is_refused(unit: bytes, tmp_path: Path) -> None:
    (tmp_path / "model.ifc").write_bytes(sound_model().replace(b"#2=IFCUNITASSIGNMENT((#1));", unit))
    try:
        import_documents([tmp_path / "model.ifc"], tmp_path / "site")
    except InputError as error:
        assert "expected a model that states its unit of length" in str(error)
    else:
        # The standard's own unit, the metre, where a model lists none.
        assert any("one unit is 1 m" in line["text"] for line in report(tmp_path / "site"))


def test_the_model_that_is_spoilt_is_sound_and_seeds_repeat() -> None:
    outcome = run_import("model.ifc", sound_model())
    assert outcome.was_read
    assert not outcome.failure
    assert spoilt_model(random.Random(3)) == spoilt_model(random.Random(3))


def test_a_fault_would_be_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("riserkit_ifc.model.footprint", lambda *_: {}["x"])
    monkeypatch.setattr("riserkit_ifc.model.BROKEN", ())
    assert run_import("model.ifc", sound_model()).failure.startswith("a reader broke off: KeyError")
