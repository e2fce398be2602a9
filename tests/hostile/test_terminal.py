"""What reaches the terminal: never a command that riserkit did not mean, never a traceback for a site's contents."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from riserkit import pipeline
from riserkit.drawings.legibility.values import SheetInspection, Violation
from riserkit.reports import printing
from riserkit.reports.table import ReportTable, to_csv
from riserkit.results import inspect
from riserkit.starter.tables import write_starter
from tests import child
from tests.command import run

COMMAND = (sys.executable, "-c", "from riserkit.commands.main import main; main()")


@pytest.fixture
def site(tmp_path: Path) -> Path:
    write_starter(tmp_path / "site")
    return tmp_path / "site"


def _is_plain(text: str) -> bool:
    return "".join(text.split("\n")).isprintable()


@pytest.mark.parametrize("command", [["check"], ["explain"], ["parts"], ["cables"], ["inspect"]])
@pytest.mark.parametrize("sign", ["\x1b]0;x\x07\x1b[31m", "\u202e", "\x9b31m"])
def test_a_name_of_a_folder_commands_no_terminal(tmp_path, command, sign):
    place = tmp_path / f"a{sign}b"
    for made in (False, True):
        if made:
            place.mkdir()
        done = run(*command, place, *(["101"] if command == ["explain"] else []))
        assert done.exit_code == 2
        assert _is_plain(done.output), ascii(done.output)


def test_a_new_site_in_a_strange_folder_commands_no_terminal(tmp_path):
    done = run("new", tmp_path / "a\x1b[2Jb")
    assert done.exit_code == 0
    assert _is_plain(done.output)
    assert "\\x1b[2J" in done.output


@pytest.mark.parametrize("form", [[], ["--json"]])
def test_what_a_drawing_says_commands_no_terminal(tmp_path, form, monkeypatch):
    bad = "T\x9b31m\x1b[31m\u202e"
    violation = Violation(bad, "text-over-text", (bad,), 1.0, 2.0, "A1", f"text {bad!s} over {bad}", 0.0, 1.0, "mm")
    found = SheetInspection(
        bad, violations=(violation,), letters=1, strokes=1, crossings=0, bridged=0, unread=((bad, 1),)
    )
    monkeypatch.setattr(inspect, "inspect_folder", lambda *_: (found,))
    done = run("inspect", tmp_path, *form)
    assert done.exit_code == 1, done.output
    assert _is_plain(done.output), ascii(done.output)
    if form:
        assert json.loads(done.stdout)["sheets"][0]["sheet"] == bad


LONG = "x" * 5000


@pytest.mark.parametrize("words", [["explain", LONG], ["check", "--door", LONG], ["diagnose", "101", "--sees", LONG]])
def test_what_was_typed_is_not_repeated_without_end(site, words):
    done = run(words[0], site, *words[1:])
    assert done.exit_code == 2
    assert max(map(len, done.output.splitlines())) < 1600


@pytest.mark.parametrize("words", [["rules", LONG], ["parts", LONG], ["explain", "SITE", LONG], ["check", "SITE", "--door", LONG], [LONG],
                                   ["check", f"--{LONG}"], ["build", "SITE", "-o", "out", "--prints", LONG]])  # fmt: skip
def test_a_name_that_is_none_is_repeated_in_few_signs(site, words):
    done = run(*(site if word == "SITE" else word for word in words))
    assert done.exit_code == 2
    assert LONG[:300] not in done.output


def test_a_file_s_name_among_too_many_commands_no_terminal(site):
    """As an asterisk puts it there."""
    done = child.run("check", site, "a\x1b[2Jb")
    assert done.returncode == 2
    assert _is_plain(done.stderr)
    assert "a\\x1b[2Jb" in done.stderr


@pytest.mark.parametrize("markup", ["[red]x[/red]", "[/]", "[link=file:///etc]x[/link]", "[", "\\[b]"])
def test_markup_in_a_name_is_letters(site, markup):
    rows = (site / "openings.csv").read_text("utf-8")
    (site / "openings.csv").write_text(rows.replace("Entrance", markup), "utf-8")
    (site / "site.csv").write_text(f"key,value\nname,{markup}\n", "utf-8")
    done = run("check", site)
    assert done.exit_code in {0, 1}, done.output
    assert markup in done.output.replace("\n", " ")


@pytest.mark.parametrize(("encoding", "escaped"), [("cp1252", "\\u0411"), ("ascii", "\\u0411"), ("utf-8", "Б")])
@pytest.mark.parametrize("form", [[], ["--json"]])
def test_a_name_that_the_output_cannot_encode_is_written_out(site, encoding, escaped, form):
    (site / "site.csv").write_text("key,value\nname,Библиотека\n", "utf-8")
    done = child.run("check", site, *form, encoding=encoding)
    assert done.returncode in {0, 1}, done.stderr
    text = done.stdout
    assert escaped in text
    if form:
        assert json.loads(text)["site"] == "Библиотека"


def test_a_python_that_was_told_an_encoding_keeps_to_it(tmp_path):
    (tmp_path / "site.csv").write_text("key,value\nname,Библиотека\n", "utf-8")
    (tmp_path / "levels.csv").write_text("id,elevation_m\nL1,0\n", "utf-8")
    (tmp_path / "openings.csv").write_text("mark,level,x_m,y_m\n1,L1,0,0\n", "utf-8")
    done = subprocess.run(
        [*COMMAND, "check", str(tmp_path)], capture_output=True, check=False,
        env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
    )  # fmt: skip
    assert done.returncode in {0, 1}, done.stderr
    assert b"\\u0411" in done.stdout


def test_json_with_such_signs_means_the_same(monkeypatch):
    value = {"a\x9b": ["\u202e", "é", "Б", "\U0001f6aa", "plain \x7f"]}
    text = json.dumps(value, ensure_ascii=False)
    for encoding in ("utf-8", "cp1252"):
        monkeypatch.setattr(printing.sys, "stdout", type("Stream", (), {"encoding": encoding})())
        made = printing.json_text(text)
        assert json.loads(made) == value
        assert made.isprintable()
        assert made.isascii() is (encoding != "utf-8")


@pytest.mark.parametrize(
    "error", [ZeroDivisionError("no\x1b[2J"), RecursionError("deep"), MemoryError(), KeyError("x"), SystemExit(0)]
)
def test_a_failure_of_riserkit_has_a_code_of_its_own_and_says_where(site, monkeypatch, error):
    def fail(*_args: object, **_named: object) -> None:
        raise error

    monkeypatch.setattr(pipeline, "design", fail)
    done = run("check", site)
    assert done.exit_code == 3
    assert "this is a fault of riserkit, please report it" in done.output
    assert "Traceback" in done.output
    assert _is_plain(done.output)


def test_the_help_states_every_code():
    told = " ".join(run("--help").output.split())
    assert "0 no open errors, 1 open errors, 2 wrong use or input that cannot be read, 3 riserkit itself failed" in told


def test_outside_is_asked_for_on_the_command_line(site, tmp_path):
    (site / "openings.csv").rename(tmp_path / "doors.csv")
    (site / "mapping.toml").write_text('[openings]\nfile = "../doors.csv"\n', "utf-8")
    assert run("check", site).exit_code == 2
    assert run("check", site, "--outside").exit_code in {0, 1}


def test_check_tells_its_progress(site):
    told: list[tuple[str, int, int]] = []
    pipeline.check_site(site, progress=lambda *step: told.append(step))
    stages = [stage for stage, _, _ in told]
    assert list(dict.fromkeys(stages)) == ["reading", "working out", "checking"]
    rules = [(done, total) for stage, done, total in told if stage == "checking"]
    assert rules == [(n, len(rules)) for n in range(1, len(rules) + 1)]
    assert len(rules) > 20


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "＝", "＋", "－", "＠", " =", "  ＝", "\t=", "\r="])
def test_text_is_no_formula_in_a_table_that_we_write(start):
    cell = f"{start}1+1"
    (_, row) = to_csv(ReportTable("t", ("a",), ((cell,),))).split("\r\n", 1)
    assert row.lstrip('"').startswith("'")


def test_a_number_stays_a_number_in_a_table_that_we_write():
    assert to_csv(ReportTable("t", ("a", "b"), ((-1.5, -2),))).splitlines()[1] == "-1.5,-2"
