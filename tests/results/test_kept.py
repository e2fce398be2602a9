"""Proofs kept between builds: used where they are of the same circuit, and never where there is any doubt."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, replace
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from riserkit import kept as kept_module
from riserkit.checked import Checked
from riserkit.design import design, wire_openings
from riserkit.drawings.set.plan import SetOptions, plan_set
from riserkit.kept import KeptWork
from riserkit.model.records import IssuedLabel
from riserkit.pipeline import work_out
from riserkit.plugin.read import read_site
from riserkit.proofs import book
from riserkit.proofs import record as record_module
from riserkit.proofs.values import Counterexample, Property, TopologyProof, TruthRow
from riserkit.reports import test_sheet
from riserkit.results import build as build_module
from riserkit.results import kept_file
from riserkit.results.build import BuildOptions, build_site, with_tables
from riserkit.results.kept_file import KEPT, read_kept, write_kept
from tests.proven import UnnotedPatch

FIRST_LOOK = Path(__file__).resolve().parents[2] / "sample_drawings" / "first-look" / "site"
Solved = list[object]


@pytest.fixture
def patched() -> Iterator[pytest.MonkeyPatch]:
    """Not the usual fixture, for which circuits are proven afresh: what is replaced here changes no proof."""
    with UnnotedPatch.context() as context:
        yield context


@pytest.fixture
def solved(patched: pytest.MonkeyPatch) -> Solved:
    """The circuits that were solved, not taken from a record."""
    found: Solved = []
    prove = book.prove

    def told(extremes: Any, *asked: Any) -> TopologyProof:
        found.append(extremes)
        return prove(extremes, *asked)

    patched.setattr(book, "prove", told)
    return found


@pytest.fixture(scope="module")
def site() -> Any:
    return read_site(FIRST_LOOK)


def _checked(site: Any, kept: KeptWork) -> Checked:
    return work_out(site, kept=kept)


def _kept(site: Any, folder: Path) -> Checked:
    record = read_kept(folder, "")
    checked = _checked(site, record)
    write_kept(folder, record)
    return checked


def test_a_circuit_that_is_the_same_is_not_solved_again(site, solved, tmp_path):
    before = _kept(site, tmp_path)
    count = len(solved)
    assert count > 0
    text = (tmp_path / KEPT).read_bytes()
    again = _kept(site, tmp_path)
    assert len(solved) == count
    assert again.findings == before.findings
    assert [repr(door.proof) for door in again.design.doors] == [repr(door.proof) for door in before.design.doors]
    assert [door.proof.topology.doors for door in again.design.doors] == [
        door.proof.topology.doors for door in before.design.doors
    ]
    assert (tmp_path / KEPT).read_bytes() == text


def test_what_a_proof_says_is_all_in_the_text_that_it_is_compared_by():
    """Before it is kept, what would be read back is compared by the text that Python shows: a field left out of that could be lost."""
    for kind in (TopologyProof, Property, Counterexample, TruthRow):
        hidden = {one.name for one in fields(kind) if not one.repr}
        assert hidden == ({"doors"} if kind is TopologyProof else set())


@pytest.mark.parametrize("change", ["lock", "longer", "hotter", "exposed", "fail mode"])
def test_a_circuit_that_changed_is_solved_again(site, solved, tmp_path, change):
    _kept(site, tmp_path)
    one, *others = site.openings
    changed: dict[str, Any] = {"openings": (one, *others)}
    if change == "lock":
        changed = {"openings": (one.model_copy(update={"lock": "strike-24-secure"}), *others)}
    elif change == "longer":
        changed = {"openings": tuple(o.model_copy(update={"width_m": 1.9}) for o in site.openings)}
    elif change == "hotter":
        changed = {"info": site.info.model_copy(update={"pathway_c": site.info.pathway_c + 1})}
    elif change == "exposed":
        changed = {"openings": (one.model_copy(update={"controller_at": "secured"}), *others)}
    else:
        changed = {"openings": tuple(o.model_copy(update={"egress": "stair"}) for o in site.openings)}
    now = site.model_copy(update=changed)
    solved.clear()
    kept = _checked(now, read_kept(tmp_path, ""))
    if change != "fail mode":
        assert solved
    solved.clear()
    assert kept.findings == _checked(now, KeptWork()).findings


def _proofs(entries: Mapping[str, Any]) -> dict[str, Any]:
    return {key: told for key, told in entries.items() if told["what"] == "proof"}


def _tampered_proof(site: Any) -> tuple[str, dict[str, Any]]:
    """The record of a site in which an attack works, and its key."""
    record = KeptWork()
    _checked(site, record)
    for key, told in _proofs(record.entries).items():
        if any(p["name"] == "tamper" and p["outcome"] == "fail" for p in json.loads(told["kept"])["properties"]):
            return key, json.loads(json.dumps(dict(record.entries)))
    raise AssertionError("no circuit of the site can be tampered with")


def _spoil(told: dict[str, Any], change: Callable[[dict[str, Any]], object]) -> None:
    kept = json.loads(told["kept"])
    change(kept)
    told["kept"] = json.dumps(kept)


def _all_pass(kept: dict[str, Any]) -> None:
    for one in kept["properties"]:
        if one["outcome"] == "fail":
            one.update(outcome="pass", failing=0, counterexample=None)


def _forge(told: dict[str, Any]) -> None:
    _spoil(told, _all_pass)


def test_a_verdict_changed_in_a_record_is_found_again(site, solved):
    key, kept = _tampered_proof(site)
    _forge(kept[key])
    honest = _checked(site, KeptWork()).findings
    solved.clear()
    assert _checked(site, KeptWork(kept)).findings == honest
    assert len(solved) == 1


def test_a_proof_of_one_circuit_does_not_stand_for_another(site, solved):
    _, kept = _tampered_proof(site.model_copy(update={"openings": site.openings}))
    keys = list(_proofs(kept))
    assert len(keys) > 1, "the site needs two circuits"
    swapped = kept | dict(zip(keys, [kept[k] for k in (*keys[1:], keys[0])], strict=True))
    solved.clear()
    _checked(site, KeptWork(swapped))
    assert len(solved) == len(keys)


SPOILT: dict[str, Callable[[dict[str, Any]], object]] = {
    "no proof": lambda told: told.pop("kept"),
    "no digest": lambda told: told.pop("digest"),
    "a list": lambda told: told.update(kept=[]),
    "no JSON": lambda told: told.update(kept="{"),
    "a field more": lambda told: _spoil(told, lambda kept: kept.update(more=1)),
    "a field less": lambda told: _spoil(told, lambda kept: kept.pop("states")),
    "an outcome of its own": lambda told: _spoil(told, lambda kept: kept["properties"][0].update(outcome="fine")),
    "nothing": lambda told: told.clear(),
}


@pytest.mark.parametrize("name", SPOILT)
def test_a_spoilt_proof_is_solved_again(site, solved, name):
    key, kept = _tampered_proof(site)
    SPOILT[name](kept[key])
    honest = _checked(site, KeptWork()).findings
    solved.clear()
    assert _checked(site, KeptWork(kept)).findings == honest
    assert len(solved) == 1


def test_other_code_and_other_plugins_prove_anew(site, solved, patched):
    _, kept = _tampered_proof(site)
    for other in (KeptWork(kept, "another plugin"), None):
        if other is None:
            patched.setattr(kept_module, "own_code", lambda: "another")
        solved.clear()
        _checked(site, other or KeptWork(kept))
        assert len(solved) == len(_proofs(kept))


def test_a_record_forged_throughout_is_not_believed(site, solved, tmp_path):
    """Whoever hands over a folder of results can count every digest in it anew, and still nobody bears witness to it."""
    _kept(site, tmp_path)
    kept = json.loads((tmp_path / KEPT).read_text("utf-8"))
    for key, told in _proofs(kept).items():
        _forge(told)
        told["digest"] = kept_module._digest(key, told["kept"])
    read = [KeptWork(kept)._found(key, record_module._proof) for key in _proofs(kept)]
    assert None not in read, "the forgery is a good one"
    (tmp_path / KEPT).write_text(json.dumps(kept), "utf-8")
    solved.clear()
    checked = _checked(site, read_kept(tmp_path, ""))
    assert len(solved) == len(_proofs(kept))
    assert checked.findings == _checked(site, KeptWork()).findings


@pytest.mark.parametrize("how", ["another user's", "open to all", "a link", "too large", "no JSON", "not there"])
def test_a_record_that_cannot_be_trusted_is_not_read(site, tmp_path, patched, how):
    patched.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    folder = tmp_path / "results"
    folder.mkdir()
    _kept(site, folder)
    path, witnesses = folder / KEPT, tmp_path / "state" / "riserkit" / "kept"
    assert kept_file._believed(path)
    if how == "another user's":
        patched.setenv("XDG_STATE_HOME", str(tmp_path / "other"))
    elif how == "open to all":
        witnesses.chmod(0o777)
    elif how == "a link":
        path.rename(tmp_path / "elsewhere.json")
        path.symlink_to(tmp_path / "elsewhere.json")
    elif how == "too large":
        patched.setattr(kept_file, "MOST_BYTES", 100)
    elif how == "no JSON":
        path.write_bytes(b"{")
        (witnesses / sha256(b"{").hexdigest()).touch()
    else:
        path.unlink()
    assert kept_file._believed(path) == {}


def test_a_record_does_not_grow_without_end(site, tmp_path, patched):
    patched.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    patched.setattr(kept_file, "_MOST_WITNESSES", 3)
    record = KeptWork()
    for n in range(6):
        record.of("number", n, lambda: 8 * "more", str)
        write_kept(tmp_path, record)
    assert len(list((tmp_path / "state" / "riserkit" / "kept").iterdir())) == 3
    most = len((tmp_path / KEPT).read_bytes()) // 2
    patched.setattr(kept_file, "MOST_BYTES", most)
    write_kept(tmp_path, record)
    assert len((tmp_path / KEPT).read_bytes()) <= most
    assert kept_file._believed(tmp_path / KEPT).items() < record.entries.items()


def test_what_is_kept_waits_packed_and_comes_out_as_it_was():
    record, readings = KeptWork(), [f"TB1-{n} to TB1-{n + 1}: 12.0 V" for n in range(200)]
    record.of("readings", 1, lambda: readings, list)
    ((key, entry),) = record.entries.items()
    assert json.loads(entry["kept"]) == readings
    assert sum(map(len, record._packed.values())) < len(entry["kept"]) / 3
    again = KeptWork(record.entries)
    assert again.of("readings", 1, lambda: pytest.fail("it is known"), list) == readings
    assert again.entries == {key: entry} == dict(record.entries)


def test_without_a_place_for_witnesses_a_build_goes_on(site, tmp_path, patched):
    (tmp_path / "file").touch()
    patched.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    _kept(site, tmp_path)
    assert (tmp_path / KEPT).is_file()
    assert kept_file._believed(tmp_path / KEPT) == {}


def test_what_readings_do_not_show_is_kept_and_told_alike(site, patched):
    made = work_out(site).design
    tried: list[object] = []

    def gaps(circuit: Any, at: Any) -> str:
        tried.append(circuit)
        return f"{len(circuit.netlist.conductors)} wires at {at.hottest_c:g}"

    patched.setattr(test_sheet, "_gaps", gaps)
    patched.setattr(test_sheet, "_REMEMBERED", {})
    record = KeptWork()
    before = test_sheet.site_test_table(replace(made, kept=record))
    count = len(tried)
    assert count == sum(told["what"] == "not shown" for told in record.entries.values()) > 0
    patched.setattr(test_sheet, "_REMEMBERED", {})
    again = KeptWork(record.entries)
    assert test_sheet.site_test_table(replace(made, kept=again)) == before
    assert again.entries == record.entries
    assert len(tried) == count
    hotter = work_out(site.model_copy(update={"info": site.info.model_copy(update={"pathway_c": 51.0})})).design
    test_sheet.site_test_table(replace(hotter, kept=again))
    assert len(tried) == 2 * count


LOCKS = ("strike-12-secure", "strike-24-secure", "strike-12-safe")
DOOR = {"controller": "controller-c4", "contact": "contact-reed", "rex": "rex-motion", "egress": "mechanical"}

CHANGES: dict[str, Callable[[Any], Any]] = {
    "nothing": lambda site: site,
    "a lock": lambda site: site.with_changes(openings={"1": {"lock": "strike-24-secure", "lock_count": "1"}}),
    "a part that a remedy names": lambda site: site.with_changes(parts={"supply-12-3": {"output_a": "0.05 A"}}),
    "a run's length": lambda site: site.with_changes(
        runs=[{"id": "R1", "from_end": "TR-1", "to_end": "1", "length_m": "71 m", "basis": "measured"}]
    ),
    "a closet's name": lambda site: site.with_changes(closets={"TR-1": {"name": "Comms cupboard"}}),
    "a closet's place": lambda site: site.with_changes(closets={"TR-1": {"x_m": "3"}}),
    "a wall": lambda site: site.with_changes(
        walls=[{"level": "L1", "outline_wkt": "POLYGON ((6 3, 13.5 3, 13.5 5.8, 6 5.8, 6 3))"}]
    ),
    "an opening's place": lambda site: site.with_changes(openings={"2": {"x_m": "12.5"}}),
    "a plan's scale": lambda site: site.with_changes(info={"plan_scale": 75}),
    "a size of sheet": lambda site: site.with_changes(info={"sheet_size": "ISO A1"}),
    "a sheet's number on record": lambda site: site.model_copy(
        update={"issued_labels": (IssuedLabel(kind="sheet", subject="plan L1 1", label="T-107"),)}
    ),
    "an opening's name": lambda site: site.with_changes(openings={"2": {"name": "Glaze room"}}),
    "a note": lambda site: site.with_changes(
        confirmations=[
            {
                "opening": "2",
                "condition": "sensor-on-egress-side",
                "name": "M. Iyer",
                "date": "2026-02-09",
                "note": "seen",
            }
        ]
    ),
    "a supply": lambda site: site.with_changes(supplies=[{"id": "PS-1", "part": "supply-12-5", "closet": "TR-1"}]),
    "a part": lambda site: site.with_changes(parts={"magnet-12-300": {"hold_a": "0.41 A"}}),
    "a temperature": lambda site: site.with_changes(info={"pathway_c": 85, "coldest_c": -30}),
}


@pytest.fixture(scope="module")
def unsuitable(site: Any) -> Any:
    """The site with two strikes at a door, which no arrangement suits: remedies are looked for."""
    return site.with_changes(openings={"1": {"lock": "strike-12-heavy", "lock_count": "2"}})


@pytest.fixture(scope="module")
def before(unsuitable: Any) -> Mapping[str, Any]:
    """What a build of the site keeps for the next."""
    record = KeptWork()
    _said(unsuitable, record)
    assert {told["what"] for told in record.entries.values()} == {
        "proof",
        "not shown",
        "readings",
        "remedies",
        "labels",
        "plans",
    }
    return record.entries


def _said(site: Any, kept: KeptWork) -> tuple[object, ...]:
    """All that is written of a site, but for the drawings themselves: of those, what each is drawn from."""
    checked = _checked(site, kept)
    options, tables = with_tables(checked, SetOptions())
    sheets = plan_set(checked, options)
    return checked.findings, tables, [(sheet.sheet_id, sheet.title, sheet.inputs) for sheet in sheets]


@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.slow
def test_whatever_changes_what_is_kept_gives_what_is_worked_out_anew(unsuitable, before, change):
    """An edit never goes stale: of a changed site everything is as if nothing had been kept, and is kept alike."""
    changed = CHANGES[change](unsuitable)
    again, anew = KeptWork(before), KeptWork()
    assert _said(changed, again) == _said(changed, anew)
    assert again.entries == anew.entries
    assert changed != unsuitable or change == "nothing"


def test_doors_solved_side_by_side_come_out_as_each_alone(unsuitable):
    """So what is kept of some doors does not depend on which others the site has."""
    others = {
        f"{n}": {"lock": lock, "x_m": f"{3 + n}", "y_m": "3", "level": "L1"} for n, lock in enumerate(4 * LOCKS, 11)
    }
    site = unsuitable.with_changes(openings={mark: DOOR | cells for mark, cells in others.items()})
    together = design(site).doors
    for door in together:
        (alone,) = wire_openings(site, [door.opening])
        assert repr(alone) == repr(door.wiring)


@pytest.mark.slow
def test_a_build_into_earlier_results_gives_the_bytes_of_a_full_one(site, solved, tmp_path, patched):
    """With one lock changed: what is still the same is not solved again, and every file is as a build from nothing has it."""

    def few_sheets(path: Path | None, asked: BuildOptions, revised: object) -> SetOptions:
        return SetOptions(cover=False, plans=False, riser=False, details="typical", workers=1, inspects=True)

    patched.setattr(build_module, "set_options", few_sheets)
    build_site(site, tmp_path / "out")
    one, *others = site.openings
    changed = site.model_copy(update={"openings": (one.model_copy(update={"lock": "strike-24-secure"}), *others)})
    solved.clear()
    build_site(changed, tmp_path / "out")
    again = len(solved)
    solved.clear()
    build_site(changed, tmp_path / "fresh")
    assert again < len(solved)
    both = [
        {p.relative_to(out).as_posix(): p.read_bytes() for p in out.rglob("*") if p.is_file()}
        for out in (tmp_path / "out", tmp_path / "fresh")
    ]
    assert both[0] == both[1]


@pytest.mark.parametrize("digest", ["", "of all tables"])
def test_remedies_that_rest_on_what_is_no_data_are_not_kept(unsuitable, patched, digest):
    patched.setattr("riserkit.rules._shared.remedies.value_digest", lambda _: digest)
    kept = KeptWork()
    _checked(unsuitable, kept)
    assert ("remedies" in {entry["what"] for entry in kept.entries.values()}) is bool(digest)
