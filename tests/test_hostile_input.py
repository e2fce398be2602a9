"""What a command meets in rough hands: it is stopped, its output goes nowhere, a list writes numbers its own way."""

from __future__ import annotations

import json
import os
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from riserkit.commands.main import main
from riserkit.drawings.dxf.file_tags import read_dxf
from riserkit.model.problems import InputError
from riserkit.plugin.read import read_site
from riserkit.starter.tables import write_starter
from tests import child, drawn
from tests.sweep import swept

pytestmark = pytest.mark.usefixtures("drawn_once")
ROOT = Path(__file__).resolve().parents[1]
COMMAND = (sys.executable, "-c", "from riserkit.commands.main import main; main()")
FEW = ("--details", "typical", "--prints", "none")
"""Sheets of doors and prints are asked for where they are looked at."""
LEVELS = "id,name,elevation_m,ceiling_m\nL1,Ground floor,0,3\n"
DOORS = "mark;level;x_m;y_m;width_m\n1;L1;25,6;0;{width}\n"


@pytest.fixture
def site(tmp_path: Path) -> Path:
    write_starter(tmp_path / "site")
    return tmp_path / "site"


def _until(there, seconds: float = 60.0) -> None:
    end = time.monotonic() + seconds
    while not there():
        assert time.monotonic() < end, "the command never began to write"
        time.sleep(0.02)


@pytest.mark.skipif(sys.platform == "win32", reason="signals are those of POSIX")
@pytest.mark.usefixtures("plain_signals")
@swept("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP], push=[signal.SIGINT, signal.SIGTERM])
def test_a_build_stopped_while_it_draws_leaves_nothing_and_says_so(site, tmp_path, number):
    """A shell's code of what a signal ended: more than 128 (POSIX.1-2017, Shell Command Language 2.8.2)."""
    with drawn.afresh():
        building = child.Child("build", site, "-o", tmp_path / "out")
    _until(lambda: any(tmp_path.glob(".out.*/drawings/*.dxf")))
    os.killpg(building.pid, number)
    _, errors = building.communicate(timeout=60)
    assert building.returncode == 128 + number
    assert "riserkit: stopped before the end" in errors
    assert "Traceback" not in errors
    assert list(tmp_path.iterdir()) == [site]


@pytest.mark.usefixtures("plain_signals")
def test_signals_are_as_they_were_after_a_command(site):
    with pytest.raises(SystemExit):
        main(["check", str(site)], standalone_mode=False)
    assert signal.getsignal(signal.SIGTERM) == signal.SIG_DFL


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
@pytest.mark.parametrize("words", [["parts"], ["parts", "--json"], ["rules"], ["check"], ["check", "--json"]])
def test_output_that_nothing_takes_is_told_without_a_traceback(site, words):
    words = [*words, str(site)] if words[0] == "check" else words
    with Path("/dev/full").open("w") as full:
        done = child.run(*words, stdout=full)
    assert done.returncode == 2
    assert done.stderr == "riserkit: cannot go on: No space left on device\n"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_python_that_ends_has_nothing_to_say_of_it_either():
    """What is left in a stream is written once more when Python ends, and what that meets is printed."""
    with Path("/dev/full").open("w") as full:
        done = subprocess.run([*COMMAND, "parts"], stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert (done.returncode, done.stderr) == (2, "riserkit: cannot go on: No space left on device\n")


@swept("version", ["R2010", "R2013"], ["R2010"])
@pytest.mark.slow
def test_an_older_version_is_built_without_a_word_on_the_error_stream(site, tmp_path, version):
    done = child.run("build", site, "-o", tmp_path / "out", "--dxf", version, *FEW)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize(("written", "width_m"), [("1.015,5 mm", 1.0155), ("0.915", 0.915), ("1,015", 1.015)])
def test_a_point_that_parts_thousands_is_taken_out(tmp_path, written, width_m):
    assert _read(tmp_path, written).openings[0].width_m == pytest.approx(width_m)


@pytest.mark.parametrize(
    ("written", "expected"), [("1.015 mm", "expected 1015 or 1,015;"), ("1.015.250 um", "expected 1015250;")]
)
def test_a_point_that_may_part_thousands_is_asked_about(tmp_path, written, expected):
    with pytest.raises(InputError) as told:
        _read(tmp_path, written)
    assert "doors.csv, row 2, column width_m" in str(told.value)
    assert expected in str(told.value)


def _read(folder: Path, width: str):
    (folder / "levels.csv").write_text(LEVELS, "utf-8")
    (folder / "doors.csv").write_text(DOORS.format(width=width), "utf-8")
    (folder / "mapping.toml").write_text('[openings]\nfile = "doors.csv"\ndecimal = ","\n', "utf-8")
    return read_site(folder, {})


def test_a_cell_of_ten_megabytes_is_told_in_characters(site):
    list_of_doors = site / "openings.csv"
    list_of_doors.write_text(list_of_doors.read_text("utf-8").replace("Entrance", "x" * 10_000_000), "utf-8")
    with pytest.raises(InputError) as told:
        read_site(site, {})
    assert "(10000000 characters)'; expected at most 400 characters" in str(told.value)
    assert len(str(told.value)) < 400


def test_an_arrangement_of_no_such_name_is_told_with_those_there_are(site):
    list_of_doors = site / "openings.csv"
    rows = list_of_doors.read_text("utf-8").splitlines()
    more = {"m": ",arrangement", "1": ",directt"}
    list_of_doors.write_text("\n".join(row + more.get(row[:1], "") for row in rows if row[:6] != "# mark"), "utf-8")
    done = run("check", str(site), "--json")
    told = [
        f for f in json.loads(done.stdout)["findings"] if (f["rule"], f["subject"]) == ("no-suitable-wiring", "101")
    ]
    assert "'directt' (known: controller-contact, direct, direct-with-peripherals," in told[0]["message"]
    assert told[0]["verdict"] == "not evaluated"


def test_a_folder_with_the_name_of_a_block_is_named(site, tmp_path):
    (site / "blocks" / "closet.dxf").mkdir(parents=True)
    done = _build(site, tmp_path / "out")
    assert done.exit_code == 2
    assert (
        f"  blocks/closet.dxf; expected a block: the block {site / 'blocks' / 'closet.dxf'} is no file;" in done.stderr
    )
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
def test_the_scale_of_an_imperial_sheet_is_written_out(site, tmp_path):
    with (site / "site.csv").open("a") as facts:
        facts.write("unit_system,imperial\n")
    assert _build(site, tmp_path / "out", "--door", "101").exit_code == 0
    for drawing in sorted((tmp_path / "out" / "drawings").glob("*.dxf")):
        paper = read_dxf(drawing)
        scales = [a.dxf.text for e in paper.query("INSERT") for a in e.attribs if a.dxf.tag == "SCALE"]
        scales += [a.dxf.text for e in paper.layout().query("INSERT") for a in e.attribs if a.dxf.tag == "SCALE"]
        assert scales, drawing.name
        assert not [scale for scale in scales if "…" in scale or scale.endswith("...")], drawing.name


@pytest.mark.parametrize("sign", ["\u2028", "\u2029", "\u202e", "\u2066", "\ufeff", "\x85", "\x7f"])
def test_signs_that_break_or_turn_the_writing_are_told(site, sign):
    """Line and paragraph separators, explicit directional formatting (Unicode Standard Annex 9), a stray byte-order mark."""
    _replace(site / "openings.csv", "Entrance", f"En{sign}trance")
    with pytest.raises(InputError) as told:
        read_site(site, {})
    assert "openings.csv, row 8, column name" in str(told.value) or "control character" in str(told.value)
    assert str(told.value).replace("\n", "").isprintable()


def test_writing_from_right_to_left_and_joined_signs_are_drawn(site, tmp_path):
    name = "\u0645\u062f\u062e\u0644 \u0631\u0626\u064a\u0633\u064a \N{DOOR}\u200d"
    _replace(site / "openings.csv", "101,Entrance", f"\u0628\u0627\u0628,{name}")
    done = _build(site, tmp_path / "out")
    assert (done.exit_code, done.stderr) == (0, "")
    assert (tmp_path / "out" / "drawings" / "T-601.dxf").is_file()


def test_an_accent_before_or_after_its_letter_makes_one_mark(site):
    """Normalization Form C of the Unicode Standard Annex 15: `\u00e9` and `e\u0301` are the same text."""
    _replace(site / "openings.csv", "101,", "e\u0301-1,")
    _replace(site / "openings.csv", "102,", "\u00e9-1,")
    with pytest.raises(InputError, match=r"row 9, column mark.*a mark of its own; openings\.csv, row 8 has this one"):
        read_site(site, {})


def test_marks_that_differ_in_case_alone_are_refused(site):
    """Their sheets would share a file on a disk that does not tell capitals apart."""
    _replace(site / "openings.csv", "101,", "a1,")
    _replace(site / "openings.csv", "102,", "A1,")
    with pytest.raises(InputError, match=r"openings\.csv, row 9, column mark.*'A1'"):
        read_site(site, {})


@pytest.mark.parametrize("kept", [0, 1, 3000, 5000])
def test_a_block_that_is_cut_off_is_named(site, tmp_path, kept):
    (site / "blocks").mkdir()
    (site / "blocks" / "closet.dxf").write_bytes((ROOT / "blocks" / "closet.dxf").read_bytes()[:kept])
    done = _build(site, tmp_path / "out")
    assert done.exit_code == 2
    assert (
        f"  blocks/closet.dxf; expected a block: the block {site / 'blocks' / 'closet.dxf'} cannot be read ("
        in done.stderr
    )
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
def test_devices_far_above_their_door_are_drawn(site, tmp_path):
    rows = (site / "openings.csv").read_text("utf-8").splitlines()
    more = {"m": ",reader_height_m,rex_height_m", "1": ",20,20"}
    rows = [row + more.get(row[:1], "") for row in rows if row[:1] != "#"]
    (site / "openings.csv").write_text("\n".join(rows), "utf-8")
    done = _build(site, tmp_path / "out", "--door", "101")
    assert (done.exit_code, done.stderr) == (0, "")
    assert (tmp_path / "out" / "drawings" / "T-501-101.dxf").is_file()


def test_two_builds_at_once_put_one_whole_set_there(site, tmp_path):
    both = [child.Child("build", site, "-o", tmp_path / "out", *FEW) for _ in range(2)]
    told = [one.communicate(timeout=120)[1] for one in both]
    assert 0 in {one.returncode for one in both}
    assert all(one.returncode == 0 or "build again" in t for one, t in zip(both, told, strict=True))
    assert not any("Traceback" in t for t in told)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["out", "site"]
    assert _build(site, tmp_path / "out").exit_code == 0, "what stands there is as riserkit wrote it"


@pytest.mark.skipif(sys.platform == "win32", reason="limits are those of POSIX")
def test_a_disk_that_takes_no_more_leaves_the_old_results(site, tmp_path):
    """A limit on a file's size refuses a write in the middle, as a full disk does."""
    assert _build(site, tmp_path / "out").exit_code == 0
    before = {p: p.read_bytes() for p in (tmp_path / "out").rglob("*") if p.is_file()}
    _replace(site / "openings.csv", "Entrance", "Gate")

    def limited() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, 60_000))

    done = child.run("build", site, "-o", tmp_path / "out", *FEW, before=limited)
    assert done.returncode == 2
    assert done.stderr.startswith("riserkit: cannot write ")
    assert "Traceback" not in done.stderr
    assert {p: p.read_bytes() for p in (tmp_path / "out").rglob("*") if p.is_file()} == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["out", "site"]


@pytest.mark.slow
def test_an_entity_of_some_program_s_own_is_kept_and_stops_nothing(site, tmp_path):
    """Programs add entities of types that no library knows (DXF Reference, Class_Version): they are stored tag by tag."""
    out = tmp_path / "out"
    assert _build(site, out).exit_code == 0
    sheet = out / "drawings" / "T-601.dxf"
    space = read_dxf(sheet).modelspace().block_record_handle
    strange = f"  0\nSTRANGETHING\n  5\nFFF1\n330\n{space}\n100\nAcDbEntity\n  8\n0\n100\nStrange\n 10\n5.0\n 20\n5.0\n 30\n0.0\n"
    head, entities = sheet.read_text("utf-8").split("\nENTITIES\n")
    sheet.write_text(f"{head}\nENTITIES\n{strange}{entities}", "utf-8")
    inspected = run("inspect", str(out))
    assert (inspected.exit_code, inspected.stderr) == (0, "")
    for _ in range(2):
        assert _build(site, out, "--keep-edits").stderr == ""
        assert [e.dxftype() for e in read_dxf(sheet).modelspace()].count("STRANGETHING") == 1


@pytest.mark.parametrize("words", [["check", ""], ["build", "site", "-o", ""], ["new", ""], ["inspect", ""]])
def test_an_empty_name_is_not_the_current_folder(words):
    done = run(*words)
    assert done.exit_code == 2
    assert "expected a name; this is empty" in done.stderr


def _replace(path: Path, old: str, new: str) -> None:
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new), "utf-8")


def run(*words: str) -> Result:
    """A command in this process: what it prints and how it exits. Those that a process of its own decides run in one."""
    return CliRunner().invoke(main, words)


def _build(site: Path, out: Path, *more: str) -> Result:
    return run("build", str(site), "-o", str(out), *FEW, *more)
