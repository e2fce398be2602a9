"""The commands as a user types them: what they print, how they exit, and what they leave behind."""

from __future__ import annotations

import csv
import json
import os
import re
import shutil
import struct
import subprocess
import sys
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from riserkit.circuits.solve import solve
from riserkit.commands.main import main
from riserkit.model.assemble import TABLES
from riserkit.model.run_ends import DEVICES
from riserkit.reports.explained import explain_opening
from tests import child, drawn
from tests.command import run

pytestmark = pytest.mark.usefixtures("drawn_once")
ROOT = Path(__file__).resolve().parents[2]
SAMPLES = ROOT / "sample_drawings"
FIRST = SAMPLES / "first-look" / "site"


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return Path(shutil.copytree(FIRST, tmp_path / "site"))


def _append(path: Path, line: str) -> None:
    path.write_text(path.read_text("utf-8") + line + "\n", "utf-8")


@pytest.fixture(scope="module")
def seed(seed_archive_doors: Path) -> Path:
    return seed_archive_doors


def test_check_prints_findings_and_exits_by_them(seed):
    clean, faulty = run("check", FIRST), run("check", seed)
    assert (clean.exit_code, faulty.exit_code) == (0, 1)
    assert "channel-length" in faulty.stdout
    assert "Move to closet 2B (TR-2E)" in " ".join(faulty.stdout.split())


def test_what_is_said_of_several_doors_is_said_once(site):
    rows = (site / "openings.csv").read_text("utf-8")
    (site / "openings.csv").write_text(rows.replace("sensor-release", "").replace("mechanical", ""), "utf-8")
    told = run("check", site, "--rule", "egress-role-unstated").stdout
    assert told.count("egress-role-unstated:") == 1
    assert "Openings 1, 2\n" in told


def test_check_lists_one_door_when_asked_and_exits_by_it(seed):
    sick, sound = (run("check", seed, "--door", mark) for mark in ("107", "101"))
    assert (sick.exit_code, sound.exit_code) == (1, 0)
    assert "Opening 107\n" in sick.stdout
    assert "channel-length" not in sound.stdout
    unknown = run("check", seed, "--door", "999")
    assert unknown.exit_code == 2
    assert "no opening '999'; expected one of 101" in unknown.stderr


def test_check_as_json_is_one_document_with_passes_too(seed):
    found = json.loads(run("check", seed, "--json").stdout)["findings"]
    verdicts = {f["verdict"] for f in found}
    assert verdicts == {"pass", "fail", "not evaluated"}
    gate = next(f for f in found if (f["rule"], f["subject"]) == ("channel-length", "110"))
    assert (gate["accepted_by"], gate["accepted_on"], gate["value"]) == ("M. Iyer", "2026-04-17", 94.5)


def test_build_writes_everything_and_the_same_bytes_again(site, tmp_path, first_look_results):
    first, second = first_look_results, tmp_path / "two"
    with drawn.afresh():
        assert run("build", site, "-o", second).exit_code == 0
    names = sorted(p.relative_to(first).as_posix() for p in first.rglob("*") if p.is_file())
    assert {"drawings/T-601.dxf", "drawings/T-501-1.dxf", "drawings/T-501-2.dxf", "findings.json",
            "schedules/materials.csv", "schedules/issued_labels.csv", "schedules/test_sheets.csv"} <= set(names)  # fmt: skip
    assert names == sorted(p.relative_to(second).as_posix() for p in second.rglob("*") if p.is_file())
    assert all((first / name).read_bytes() == (second / name).read_bytes() for name in names)


@pytest.mark.slow
def test_labels_given_back_stay_when_a_door_is_added_before_them(site, tmp_path, first_look_results):
    issued = first_look_results / "schedules" / "issued_labels.csv"
    shutil.copy(issued, site / "issued_labels.csv")
    rows = (site / "openings.csv").read_text("utf-8").splitlines()
    rows.insert(2, rows[-1].replace("2,Kiln room,L1,14,6", "0,New store,L1,11,6", 1))
    (site / "openings.csv").write_text("\n".join(rows) + "\n", "utf-8")
    for line in (site / "confirmations.csv").read_text("utf-8").splitlines():
        if line.startswith("2,"):
            _append(site / "confirmations.csv", "0" + line[1:])
    assert run("build", site, "-o", tmp_path / "two", "--details", "typical", "--prints", "none").exit_code == 0

    def labels(path: Path) -> set[tuple[str, ...]]:
        with path.open(encoding="utf-8", newline="") as stream:
            return {tuple(row) for row in csv.reader(stream)}

    before, after = labels(issued), labels(tmp_path / "two" / "schedules" / "issued_labels.csv")
    assert before < after


def test_an_output_folder_with_a_drafter_s_edit_is_left_alone(site, tmp_path, first_look_results):
    out = Path(shutil.copytree(first_look_results, tmp_path / "out"))
    drawing = out / "drawings" / "T-601.dxf"
    drawing.write_text(drawing.read_text("utf-8") + "\n", "utf-8")
    before = drawing.read_bytes()
    again = run("build", site, "-o", out)
    assert again.exit_code == 2
    assert "T-601.dxf" in again.stderr
    assert drawing.read_bytes() == before


def test_explain_names_the_chosen_and_the_number_that_decides(seed):
    told = run("explain", seed, "109")
    text = " ".join(told.stdout.split())
    assert told.exit_code == 0
    assert "selected" in text
    data = json.loads(run("explain", seed, "107", "--json").stdout)
    direct = next(c for c in data["considered"] if c["arrangement"] == "direct-with-peripherals")
    failed = [t for t in direct["tests"] if t["passed"] is False]
    assert [t["name"] for t in failed] == ["output-limit"]
    assert failed[0]["limit"] == 0.6
    assert data["chosen"]["arrangement"] == "relay-external-supply"
    assert any("states" in line and "faults" in line for line in data["words"])
    assert any("authority having jurisdiction" in line for line in data["words"])


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_another_solver_finds_the_voltages_of_an_opening_in_the_deck(seed: Path, tmp_path: Path):
    """With the controller's output on and off: ngspice solves the very deck that the command prints, node by node."""
    told, found = {}, {}
    for states in ((), ("K1.output",)):
        deck = run("spice", seed, "109", *(word for state in states for word in ("--state", state)))
        assert deck.exit_code == 0, deck.stderr
        told[states] = deck.stdout
        (tmp_path / "deck.cir").write_text(deck.stdout, "utf-8")
        done = subprocess.run(["ngspice", "-b", tmp_path / "deck.cir"], capture_output=True, text=True, check=False)
        found[states] = dict(re.findall(r"^v\((n\d+)\) = (\S+)\s*$", done.stdout, re.MULTILINE))
    netlist = explain_opening(seed, "109").wiring.netlist
    for states, deck in told.items():
        nodes = dict(re.findall(r"^\* (n\d+) = (.+)$", deck, re.MULTILINE))
        solved = solve(netlist, dict.fromkeys(states, True))
        for node, name in nodes.items():
            assert float(found[states][node]) == pytest.approx(float(solved.node_v(name)[0]), abs=1e-4), (states, name)
    assert found[()] != found[("K1.output",)]
    unknown = run("spice", seed, "109", "--state", "K1.outptu")
    assert (unknown.exit_code, "K1.output" in unknown.stderr) == (2, True)


def test_explain_of_an_unknown_mark_offers_others(seed):
    told = run("explain", seed, "30l")
    assert told.exit_code == 2
    assert "'30l'" in told.stderr
    assert "308" in told.stderr


def test_build_says_what_to_open_first(tmp_path):
    """Whoever has no CAD program sees cover, plans and riser in a print, which is named last."""
    run("new", tmp_path / "site")
    built = run("build", tmp_path / "site", "-o", tmp_path / "out", "--details", "typical")
    shown = tmp_path / "out/drawings/overview.pdf"
    assert built.stdout.replace("\n", "").endswith(f"Open first: {shown}".replace("\n", ""))
    assert [page.extract_text().count("T-") > 0 for page in PdfReader(shown).pages] == [True] * 3
    bare = run("build", tmp_path / "site", "-o", tmp_path / "bare", "--details", "typical", "--prints", "none")
    assert bare.stdout.replace("\n", "").endswith("drawings/T-001.dxf")
    assert not list((tmp_path / "bare/drawings").glob("*.pdf"))


def test_new_writes_a_site_that_builds_clean(tmp_path):
    assert run("new", tmp_path / "mine").exit_code == 0
    assert run("build", tmp_path / "mine", "-o", tmp_path / "out").exit_code == 0
    again = run("new", tmp_path / "mine")
    assert again.exit_code == 2
    assert "mine" in again.stderr


def test_rules_and_parts_list_all_and_one(seed):
    rules = json.loads(run("rules", "--json").stdout)
    assert {"channel-length", "class-power", "lock-voltage", "output-limit", "supply-load", "label-unique", "no-cable-route",
            "missing-data", "switch-ports", "switch-power-budget"} <= {r["name"] for r in rules}  # fmt: skip
    assert "90" in run("rules", "channel-length").stdout
    assert run("rules", "no-such-rule").exit_code == 2
    parts = {p["id"]: p for p in json.loads(run("parts", seed, "--json").stdout)}
    assert parts["strike-unlisted"]["lacks"] == ["tolerance_low", "tolerance_high"]
    assert parts["strike-12-secure"]["lacks"] == []


def test_the_list_of_commands_says_each_of_them_to_the_end():
    listed = run("--help").stdout.partition("Commands:")[2].strip().splitlines()
    assert len(listed) == len(main.commands)
    assert [line for line in listed if not line.endswith(".") or line.endswith("...")] == []


def test_the_package_is_run_as_the_command_is():
    ended = subprocess.run([sys.executable, "-m", "riserkit", "--version"], capture_output=True, text=True, check=True)
    assert ended.stdout == run("--version").stdout


def test_parts_and_an_explanation_are_read_on_a_narrow_terminal():
    """Six columns on 80 letters broke the names of fields in two."""
    narrow = CliRunner(env={"FORCE_COLOR": "1", "COLUMNS": "80", "TERM": "dumb"})
    for words in (["parts"], ["explain", str(FIRST), "1"]):
        told = re.sub(r"\x1b\[[0-9;]*m", "", narrow.invoke(main, words).stdout)
        assert max(len(line) for line in told.partition("Tests of")[0].splitlines() if line.startswith(" ")) <= 80
    assert re.search(r"^selected, rank \d+: [a-z-]+, lock cable \S+, lock power from ", told, re.MULTILINE)
    assert "output_tolerance 0.05" in run("parts").stdout
    lacking = run("parts", SAMPLES / "seed-archive" / "site").stdout
    assert "Lacks tolerance_low, tolerance_high." in lacking


def test_every_condition_that_may_be_confirmed_is_explained():
    (told,) = (
        c
        for c in json.loads(run("tables", "confirmations", "--json").stdout)["confirmations"]
        if c["name"] == "condition"
    )
    assert set(told["words"]) == set(told["accepts"].split(", "))


def test_the_table_of_runs_names_every_device_that_a_run_may_end_at():
    told = run("tables", "runs").stdout
    assert [name for name in DEVICES if f"`{name}`" not in told] == []


def test_tables_say_what_may_stand_in_each_column():
    listed = run("tables")
    assert listed.exit_code == 0
    assert all(name in listed.stdout for name in ("site", *TABLES))
    columns = {
        c["name"]: (c["accepts"], c["left_out"])
        for c in json.loads(run("tables", "openings", "--json").stdout)["openings"]
    }
    assert columns["mark"] == ("text", "must be stated")
    assert columns["hinges"] == ("left, right", "")
    assert columns["height_m"] == ("a quantity in m, more than 0, at most 20", "2.134")
    assert columns["controller"] == ("an id of parts, of kind controller", "")
    assert columns["port"] == ("a whole number, at least 1, at most 1024", "")
    assert columns["outdoor"] == ("yes or no", "no")
    page = run("tables", "site").stdout
    assert "key and value" in page
    assert "a quantity in °C, at least -60, at most 100" in page
    assert "a date as YYYY-MM-DD" in page
    unknown = run("tables", "opening")
    assert (unknown.exit_code, "expected one of site, buildings" in unknown.stderr) == (2, True)


def test_what_tables_say_is_what_is_accepted(site):
    """Each first choice of each column, stated for a door, is taken as it stands; a single door has no second leaf."""
    columns = json.loads(run("tables", "openings", "--json").stdout)["openings"]
    plain = {"yes or no": "yes", "text": "x", "a date as YYYY-MM-DD": "2026-03-02"}
    stated = {c["name"]: plain.get(c["accepts"], c["accepts"].split(", ")[0]) for c in columns
              if not c["accepts"].startswith(("a quantity", "an id", "ids of", "a whole", "a number")) and c["name"] not in
              {"mark", "level", "arrangement", "inactive_leaf", "mullion"}}  # fmt: skip
    rows = (site / "openings.csv").read_text("utf-8").splitlines()
    taken = rows[0].split(",")
    more = {name: value for name, value in stated.items() if name not in taken}
    assert len(more) > 5
    rows = [",".join([rows[0], *more]), *(",".join([row, *more.values()]) for row in rows[1:])]
    (site / "openings.csv").write_text("\n".join(rows), "utf-8")
    checked = run("check", site)
    assert checked.exit_code in {0, 1}, checked.stderr


@pytest.mark.parametrize("words", [(), ("--help",), ("build", "--help"), ("check", "--help"), ("explain", "--help")])
def test_help_is_given(words):
    assert "Usage" in (run(*words).output)


def _png() -> bytes:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", 1, 1, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0\0\0\0")) + chunk(b"IEND", b"")


def _door(mark: str) -> Callable[[Path], None]:
    return lambda site: _append(site / "openings.csv", f'"{mark}",x,L1,3,3' + "," * 16)


BAD: dict[str, tuple[Callable[[Path], None], str]] = {
    "empty folder": (lambda site: [p.unlink() for p in site.iterdir()] and None, "openings"),
    "image": (lambda site: (site / "openings.csv").write_bytes(_png()) and None, "openings.csv"),
    "far cable": (
        lambda site: (site / "runs.csv").write_text("id,from_end,to_end,length_m\nR1,TR-1,1,1e9 m\n") and None, "1e9 m",
    ),
    "negative ports": (
        lambda site: (site / "switches.csv").write_text("id,closet,ports\nSW-1,TR-1,-5\n") and None, "-5",
    ),
    "no such level": (lambda site: _append(site / "openings.csv", "9,x,L7,3,3" + "," * 16), "L7"),
    "two of one mark": (lambda site: _append(site / "openings.csv", "2,x,L1,3,3" + "," * 16), "row 3"),
    "quote": (_door('a""b'), 'a"b'),
    "slash": (_door("a/b"), "a/b"),
    "less than": (_door("a<b"), "a<b"),
    "emoji": (_door("a\N{DOOR}"), "letters, digits"),
    "300 characters": (_door("a" * 300), "300"),
    "formula": (_door("=1+1"), "formula"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_bad_input_is_told_and_nothing_is_written(site, tmp_path, name):
    spoil, seen = BAD[name]
    spoil(site)
    told = run("build", site, "-o", tmp_path / "out")
    assert told.exit_code == 2, told.output
    assert told.exception is None or isinstance(told.exception, SystemExit)
    assert seen in told.stderr
    assert "Traceback" not in told.output
    assert not (tmp_path / "out").exists()
    assert {p.name for p in tmp_path.iterdir()} == {"site"}


@pytest.mark.parametrize("text", ["[" * 10_000, '{"a":' * 10_000, "", "3", '{"openings": [{"mark": NaN}]}'])
def test_bad_json_is_told(tmp_path, text):
    path = tmp_path / "site.json"
    path.write_text(text, "utf-8")
    told = run("check", path)
    assert told.exit_code == 2
    assert "site.json" in told.stderr


def test_a_path_that_is_not_there_is_told(tmp_path):
    told = run("check", tmp_path / "nowhere")
    assert told.exit_code == 2
    assert "nowhere" in told.stderr


def test_a_folder_that_cannot_be_written_is_told(site):
    told = run("build", site, "-o", "/proc/riserkit-out")
    assert told.exit_code == 2
    assert "choose another folder" in told.stderr


def test_no_number_is_minus_nothing(tmp_path):
    """An auxiliary output that feeds nothing gives nothing, whatever sign a sum of currents leaves."""
    run("new", tmp_path / "site")
    found = json.loads(run("check", tmp_path / "site", "--json").stdout)["findings"]
    assert [f["value"] for f in found if (f["rule"], f["subject"]) == ("auxiliary-limit", "102")] == [0]
    assert "-0.0" not in {str(f[key]) for f in found for key in ("value", "limit", "margin")}


@pytest.mark.parametrize("words", [("tables", "openings"), ("parts",), ("check", FIRST), ("rules", "tamper")], ids=str)
def test_where_nobody_reads_on_a_command_ends_quietly(words: tuple[str | Path, ...]) -> None:
    """As `riserkit parts | head` does when `head` has seen enough."""
    read, write = os.pipe()
    os.close(read)
    with os.fdopen(write, "w") as unread:
        ended = child.run(*words, stdout=unread)
    assert (ended.returncode, ended.stderr) == (0, "")


def test_a_command_takes_one_thread_for_matrices_unless_told_otherwise(monkeypatch: pytest.MonkeyPatch) -> None:
    """Processes share the work, and the last digit of a sum must not hang on how many cores there are."""
    monkeypatch.delenv("OPENBLAS_NUM_THREADS", raising=False)
    monkeypatch.setenv("MKL_NUM_THREADS", "2")
    assert run("cables").exit_code == 0
    assert (os.environ["OPENBLAS_NUM_THREADS"], os.environ["MKL_NUM_THREADS"]) == ("1", "2")
