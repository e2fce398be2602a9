"""Proofs kept between builds: used where they are of the same circuit, and never where there is any doubt."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import fields
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from riserkit.drawings.set.plan import SetOptions
from riserkit.pipeline import Checked, work_out
from riserkit.plugin.read import read_site
from riserkit.proofs import book
from riserkit.proofs import record as record_module
from riserkit.proofs.record import ProofRecord
from riserkit.proofs.values import Counterexample, Property, TopologyProof, TruthRow
from riserkit.reports import test_sheet
from riserkit.results import build as build_module
from riserkit.results import proofs_kept
from riserkit.results.build import BuildOptions, build_site
from riserkit.results.proofs_kept import PROOFS, read_proofs, write_proofs
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


def _checked(site: Any, record: ProofRecord) -> Checked:
    return work_out(site, record=record)


def _kept(site: Any, folder: Path) -> Checked:
    record = read_proofs(folder, "")
    checked = _checked(site, record)
    write_proofs(folder, record)
    return checked


def test_a_circuit_that_is_the_same_is_not_solved_again(site, solved, tmp_path):
    before = _kept(site, tmp_path)
    count = len(solved)
    assert count > 0
    text = (tmp_path / PROOFS).read_bytes()
    again = _kept(site, tmp_path)
    assert len(solved) == count
    assert again.findings == before.findings
    assert [repr(door.proof) for door in again.design.doors] == [repr(door.proof) for door in before.design.doors]
    assert [door.proof.topology.doors for door in again.design.doors] == [
        door.proof.topology.doors for door in before.design.doors
    ]
    assert (tmp_path / PROOFS).read_bytes() == text


def test_what_a_proof_says_is_all_in_what_its_digest_is_taken_of():
    """The digest is of the text that Python shows; a field left out of that could be changed unseen."""
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
    kept = _checked(now, read_proofs(tmp_path, ""))
    if change != "fail mode":
        assert solved
    solved.clear()
    assert kept.findings == _checked(now, ProofRecord()).findings


def _tampered_proof(site: Any) -> tuple[str, dict[str, Any]]:
    """The record of a site in which an attack works, and its key."""
    record = ProofRecord()
    _checked(site, record)
    for key, told in record.kept.items():
        if any(p["name"] == "tamper" and p["outcome"] == "fail" for p in told["kept"]["properties"]):
            return key, json.loads(json.dumps(record.kept))
    raise AssertionError("no circuit of the site can be tampered with")


def _forge(told: dict[str, Any]) -> None:
    for one in told["kept"]["properties"]:
        if one["outcome"] == "fail":
            one.update(outcome="pass", failing=0, counterexample=None)


def test_a_verdict_changed_in_a_record_is_found_again(site, solved):
    key, kept = _tampered_proof(site)
    _forge(kept[key])
    honest = _checked(site, ProofRecord()).findings
    solved.clear()
    assert _checked(site, ProofRecord(kept)).findings == honest
    assert len(solved) == 1


def test_a_proof_of_one_circuit_does_not_stand_for_another(site, solved):
    _, kept = _tampered_proof(site.model_copy(update={"openings": site.openings}))
    keys = list(kept)
    assert len(keys) > 1, "the site needs two circuits"
    swapped = dict(zip(keys, [kept[k] for k in (*keys[1:], keys[0])], strict=True))
    solved.clear()
    _checked(site, ProofRecord(swapped))
    assert len(solved) == len(keys)


SPOILT: dict[str, Callable[[dict[str, Any]], object]] = {
    "no proof": lambda told: told.pop("kept"),
    "no digest": lambda told: told.pop("digest"),
    "a list": lambda told: told.update(kept=[]),
    "a field more": lambda told: told["kept"].update(more=1),
    "a field less": lambda told: told["kept"].pop("states"),
    "an outcome of its own": lambda told: told["kept"]["properties"][0].update(outcome="fine"),
    "nothing": lambda told: told.clear(),
}


@pytest.mark.parametrize("name", SPOILT)
def test_a_spoilt_proof_is_solved_again(site, solved, name):
    key, kept = _tampered_proof(site)
    SPOILT[name](kept[key])
    honest = _checked(site, ProofRecord()).findings
    solved.clear()
    assert _checked(site, ProofRecord(kept)).findings == honest
    assert len(solved) == 1


def test_other_code_and_other_plugins_prove_anew(site, solved, patched):
    _, kept = _tampered_proof(site)
    for other in (ProofRecord(kept, "another plugin"), None):
        if other is None:
            patched.setattr(record_module, "_code", lambda: "another")
        solved.clear()
        _checked(site, other or ProofRecord(kept))
        assert len(solved) == len(kept)


def test_a_record_forged_throughout_is_not_believed(site, solved, tmp_path):
    """Whoever hands over a folder of results can count every digest in it anew, and still nobody bears witness to it."""
    _kept(site, tmp_path)
    kept = json.loads((tmp_path / PROOFS).read_text("utf-8"))
    for key, told in kept.items():
        _forge(told)
        proof = record_module._proof(told["kept"])
        told["digest"] = record_module._digest((key, repr(proof)))
    proofs = [record_module._read(key, told, record_module._proof) for key, told in kept.items()]
    assert None not in proofs, "the forgery is a good one"
    (tmp_path / PROOFS).write_text(json.dumps(kept), "utf-8")
    solved.clear()
    checked = _checked(site, read_proofs(tmp_path, ""))
    assert len(solved) == len(kept)
    assert checked.findings == _checked(site, ProofRecord()).findings


@pytest.mark.parametrize("how", ["another user's", "open to all", "a link", "too large", "no JSON", "not there"])
def test_a_record_that_cannot_be_trusted_is_not_read(site, tmp_path, patched, how):
    patched.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    folder = tmp_path / "results"
    folder.mkdir()
    _kept(site, folder)
    path, witnesses = folder / PROOFS, tmp_path / "state" / "riserkit" / "proofs"
    assert proofs_kept._believed(path)
    if how == "another user's":
        patched.setenv("XDG_STATE_HOME", str(tmp_path / "other"))
    elif how == "open to all":
        witnesses.chmod(0o777)
    elif how == "a link":
        path.rename(tmp_path / "elsewhere.json")
        path.symlink_to(tmp_path / "elsewhere.json")
    elif how == "too large":
        patched.setattr(proofs_kept, "MOST_BYTES", 100)
    elif how == "no JSON":
        path.write_bytes(b"{")
        (witnesses / sha256(b"{").hexdigest()).touch()
    else:
        path.unlink()
    assert proofs_kept._believed(path) == {}


def test_a_record_does_not_grow_without_end(site, tmp_path, patched):
    patched.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    patched.setattr(proofs_kept, "_MOST_WITNESSES", 3)
    record = ProofRecord()
    for n in range(6):
        record._kept = {"n": {"kept": n}}
        write_proofs(tmp_path, record)
    assert len(list((tmp_path / "state" / "riserkit" / "proofs").iterdir())) == 3
    (tmp_path / PROOFS).unlink()
    patched.setattr(proofs_kept, "MOST_BYTES", 10)
    write_proofs(tmp_path, record)
    assert not (tmp_path / PROOFS).exists()


def test_without_a_place_for_witnesses_a_build_goes_on(site, tmp_path, patched):
    (tmp_path / "file").touch()
    patched.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    _kept(site, tmp_path)
    assert (tmp_path / PROOFS).is_file()
    assert proofs_kept._believed(tmp_path / PROOFS) == {}


def test_what_readings_do_not_show_is_kept_and_told_alike(site, patched):
    made = work_out(site).design
    tried: list[object] = []

    def gaps(circuit: Any, at: Any) -> str:
        tried.append(circuit)
        return f"{len(circuit.netlist.conductors)} wires at {at.hottest_c:g}"

    patched.setattr(test_sheet, "_gaps", gaps)
    patched.setattr(test_sheet, "_REMEMBERED", {})
    record = ProofRecord()
    before = test_sheet.site_test_table(made, record=record)
    count = len(tried)
    assert count == len(record.kept) > 0
    patched.setattr(test_sheet, "_REMEMBERED", {})
    again = ProofRecord(record.kept)
    assert test_sheet.site_test_table(made, record=again) == before
    assert again.kept == record.kept
    assert len(tried) == count
    hotter = work_out(site.model_copy(update={"info": site.info.model_copy(update={"pathway_c": 51.0})})).design
    test_sheet.site_test_table(hotter, record=again)
    assert len(tried) == 2 * count


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
