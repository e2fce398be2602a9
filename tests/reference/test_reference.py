"""The reference set: what it shows as suitable keeps every rule, what it does not says why, and no sheet reads as approved."""

from __future__ import annotations

import csv
import re
from pathlib import Path
from typing import Any, ClassVar

import pluggy
import pytest

from riserkit.design import design, every_arrangement
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.findings import Severity, at_openings
from riserkit.plugin import hooks
from riserkit.plugin.manager import Plugins
from riserkit.reference.doors import ReferenceDoor, site_of
from riserkit.reference.judged import ReferenceSet, doors_tried, reference_set
from riserkit.reference.lessons import drawn_doors
from riserkit.reference.sheets import plan_reference
from riserkit.reference.variants import variants
from riserkit.reference.words import HEADING, deciding_numbers, when_to_use
from riserkit.wiring.arrangement import Arrangement
from riserkit.wiring.arrangements.direct import Direct, build_direct, screen_direct
from riserkit.wiring.roles import DeviceRole
from tests.command import run

NAMES = ("direct", "bare-lock")


class _BareLock:
    """A lock on the output of a controller that has nothing else.

    It also takes fail-secure strikes that the fire alarm is to release, which it does not do.
    """

    name: ClassVar[str] = "bare-lock"
    title: ClassVar[str] = "Bare lock"
    rank: ClassVar[float] = 90.0

    def screen(self, need: Any) -> Any:
        bare = () if need.opening.fire_alarm_release and not need.fail_safe else Direct().screen(need)[:1]
        return (*bare, *screen_direct(need))

    def supplies(self, _need: Any) -> Any:
        return (None,)

    def build(self, need: Any, choice: Any) -> Any:
        return build_direct(need, choice)


class _Plugin:
    @hooks.hookimpl
    def more_arrangements(self) -> list[Arrangement]:
        return [_BareLock()]


@pytest.fixture(scope="module")
def reference() -> ReferenceSet:
    manager = pluggy.PluginManager(hooks.GROUP)
    manager.add_hookspecs(hooks.Hooks)
    manager.register(_Plugin(), name="by-hand")
    return reference_set(NAMES, Plugins(manager))


@pytest.mark.slow
def test_every_arrangement_is_tried_with_every_variant(reference: ReferenceSet) -> None:
    assert [a.name for a in reference.arrangements] == list(NAMES)
    for arrangement in reference.arrangements:
        assert [one.door.variant.name for one in reference.of(arrangement)] == [v.name for v in variants()]


def test_what_is_shown_as_suitable_keeps_every_rule_and_the_rest_says_why(reference: ReferenceSet) -> None:
    sound = {one.door.mark for one in reference.judged if one.is_sound}
    assert sound == {door.mark for door in reference.checked.design.doors}
    errors = [f for f in at_openings(reference.checked.findings) if f.is_open and f.severity is Severity.ERROR]
    assert not errors
    assert {d.wiring.chosen.feasible for d in reference.checked.design.doors if d.wiring.chosen} == {True}
    why = {one.door.variant.name: " ".join(one.why) for one in reference.judged if one.door.arrangement == "direct"}
    assert not why["12 V strike, fail-secure, no peripherals"]
    assert "devices on inputs" in why["12 V strike, fail-secure"]
    # a lock with a supply of its own wants a dry trigger: common practice, no source
    assert "dry trigger" in why["exit device with its own supply, no peripherals"]


def test_a_plugin_s_arrangement_stands_like_a_shipped_one(reference: ReferenceSet) -> None:
    shipped, of_plugin = (
        {one.door.variant.name for one in reference.of(arrangement) if one.is_sound}
        for arrangement in reference.arrangements
    )
    assert shipped == of_plugin != set()
    assert when_to_use(reference.arrangements[0]) == Direct.when_to_use
    assert when_to_use(_BareLock()) == "A lock on the output of a controller that has nothing else."


def test_what_can_be_wired_but_breaks_a_rule_is_not_shown_as_suitable(reference: ReferenceSet) -> None:
    alarmed = [
        one for one in reference.of(reference.arrangements[1]) if one.door.variant.beside.name == "fire alarm release"
    ]
    (one,) = (one for one in alarmed if one.door.variant.lock.name == "12 V strike, fail-secure")
    assert not one.is_sound and any("(release-on-fire-alarm)" in why for why in one.why)


def test_a_switch_in_the_bar_is_tried_at_each_kind_of_lock() -> None:
    tried = {
        v.name: ReferenceDoor("1", "direct-with-peripherals", v, "controller-c3")
        for v in variants()
        if "in the bar" in v.name
    }
    assert {v.lock.is_magnet for v in variants() if "in the bar" in v.name} == {False, True}
    for name in ("12 V strike, fail-secure, REX switch in the bar", "12 V magnet, release switch in the bar"):
        netlist = design(site_of([tried[name]])).doors[0].wiring.netlist
        assert netlist is not None
        # its wires go over the hinges
        assert [c.ref for c in netlist.devices(DeviceRole.POWER_TRANSFER)] == ["X3"], name
    opening = site_of([tried["12 V magnet, release switch in the bar"]]).openings[0]
    assert (opening.release_height_m, opening.release_sign) == (None, None)


def test_the_closest_number_decides_first(reference: ReferenceSet) -> None:
    chosen = reference.checked.design.doors[0].wiring.chosen
    assert chosen is not None
    rooms = {r.text: abs(r.limit - r.value) / r.limit for r in chosen.reasons if r.value is not None and r.limit}
    first = deciding_numbers(chosen)[0].rstrip(".")
    assert min(rooms, key=lambda text: rooms[text]).casefold() == first.casefold()


def test_lessons_are_of_reference_doors_under_their_own_marks() -> None:
    doors, cautioned = drawn_doors(1, seed=3)
    ((name, circuit),) = doors
    mark, _, what = name.partition(": ")
    every = every_arrangement()
    tried = {d.mark.partition(".")[0]: d for d in doors_tried(every, every)}
    assert what == f"{next(a.title for a in every if a.name == tried[mark].arrangement)}, {tried[mark].variant.name}"
    assert circuit is not None and circuit.locks
    assert cautioned
    assert [name for name, _ in drawn_doors(1, seed=3)[0]] == [name], "the same seed, the same doors"


@pytest.mark.parametrize("stated", [[], ["--reference", "."]])
def test_lessons_want_a_site_or_the_reference_doors(stated: list[str], tmp_path: Path) -> None:
    done = run("lesson", *stated, "-o", tmp_path / "out")
    assert done.exit_code == 2
    assert "--reference" in done.output
    assert not (tmp_path / "out").exists()


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("reference") / "out"
    done = run("reference", "-o", out, "--arrangement", "direct")
    assert done.exit_code == 0, done.output
    return out


@pytest.mark.slow
def test_the_set_has_a_sheet_and_a_page_for_each_suitable_variant(written: Path) -> None:
    with (written / "variants.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == len(list(variants()))
    suitable = {row["sheet"] for row in rows if row["verdict"] == "suitable"}
    assert suitable == {p.stem for p in (written / "drawings").glob("T-501-*.dxf")}
    assert {sheet.removeprefix("T-501-") for sheet in suitable} == {p.stem for p in (written / "page/doors").glob("*")}
    assert all(row["why"] for row in rows if row["verdict"] != "suitable")


def test_the_overview_groups_doors_by_arrangement(written: Path) -> None:
    heads = re.findall(r"<h3>([^<]*)</h3>", (written / "page/index.html").read_text("utf-8"))
    assert "Lock on the controller" in " ".join(heads)
    assert "L1" not in heads


def test_no_sheet_and_no_page_reads_as_approved(written: Path) -> None:
    for path in (written / "drawings").glob("*.dxf"):
        text = path.read_text("utf-8")
        assert HEADING in text, path.name
        assert "for approval" not in text and "for construction" not in text.replace("not for construction", "")
        block = next(b for b in read_dxf(path).query("INSERT") if b.attribs and _value(b, "Reference"))
        assert _value(block, "nobody") or _value(block, "not approved")
    for path in (written / "page/doors").glob("*.html"):
        assert HEADING in path.read_text("utf-8")


def _value(block: Any, words: str) -> bool:
    return any(re.search(words, attrib.dxf.text) for attrib in block.attribs)


def test_the_same_set_is_the_same_bytes(written: Path) -> None:
    again = {sheet.sheet_id: sheet for sheet in plan_reference(reference_set(["direct"]), {}, {})}
    for name in ("T-001", "T-511"):
        assert again[name].draw().to_bytes() == (written / "drawings" / f"{name}.dxf").read_bytes()


def test_a_lock_that_is_ruled_out_altogether_is_named_once(written: Path) -> None:
    words = [text.dxf.text for text in read_dxf(written / "drawings/T-511.dxf").modelspace().query("TEXT MTEXT")]
    assert any("12 V magnet: all" in text for text in words)
    assert not any("..." in text or "…" in text for text in words)  # nothing is cut short


def test_an_arrangement_that_is_not_there(tmp_path: Path) -> None:
    done = run("reference", "-o", tmp_path / "x", "--arrangement", "wireless")
    assert done.exit_code == 2 and "no arrangement wireless; there are direct," in done.output
