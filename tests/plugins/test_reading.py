"""Where there is no site to read, the error says what was looked at and which formats there are."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from riserkit.plugin.read import read_site

FORMATS = (
    "what can be read: a folder of tables: openings.csv, levels.csv, closets.csv and so on (csv); "
    "one document SITE.json, or a folder with site.json in it (json)"
)


def _only(problems, path: Path, text: str) -> None:
    (problem,) = problems
    assert problem.where.file == str(path)
    assert text in problem.accepted
    assert FORMATS in problem.accepted


def test_a_path_that_is_not_there(tmp_path, problems_of):
    path = tmp_path / "missing"
    _only(problems_of(path), path, "cannot be read: No such file or directory")


def test_a_folder_with_nothing_in_it(tmp_path, problems_of):
    _only(problems_of(tmp_path), tmp_path, "expected a site; ")


def test_a_folder_of_other_things(tmp_path, problems_of):
    (tmp_path / "plan.dxf").write_text("0")
    _only(problems_of(tmp_path), tmp_path, "expected a site; ")


def test_a_file_of_another_kind(tmp_path, problems_of):
    path = tmp_path / "plan.dxf"
    path.write_text("0")
    _only(problems_of(path), path, "expected a site; ")


def test_impossible_names(tmp_path, problems_of):
    _only(problems_of(Path("a\0b")), Path("a\0b"), "cannot be read: ")
    long = tmp_path / ("x" * 5000)
    _only(problems_of(long), long, "cannot be read: File name too long")


def test_a_name_that_no_terminal_can_print(tmp_path, problems_of):
    path = tmp_path / "a\udcff\x1b[2J"
    (problem,) = problems_of(path)
    assert str(problem).isprintable()


def test_a_path_through_a_file(write, problems_of):
    path = write() / "openings.csv" / "deeper"
    _only(problems_of(path), path, "cannot be read: Not a directory")


@pytest.mark.parametrize("name", ["openings.csv", "site.json"])
def test_files_that_may_not_be_read(name, tmp_path, problems_of, monkeypatch):
    """The refusal is simulated, since a superuser may read everything."""
    (tmp_path / name).write_text("{}")

    def refuse(self: Path) -> bytes:
        raise PermissionError(13, os.strerror(13), str(self))

    monkeypatch.setattr(Path, "read_bytes", refuse)
    problems = problems_of(tmp_path)
    assert [str(p) for p in problems] == [f"{name}; expected a file that can be read: Permission denied"]


def test_a_folder_that_may_not_be_listed(tmp_path, problems_of, monkeypatch):
    def refuse(self: Path) -> object:
        raise PermissionError(13, os.strerror(13), str(self))

    monkeypatch.setattr(Path, "iterdir", refuse)
    _only(problems_of(tmp_path), tmp_path, "cannot be read: Permission denied")


def test_a_pipe_is_not_waited_for(tmp_path, problems_of):
    os.mkfifo(tmp_path / "walls.csv")
    problems = problems_of(tmp_path)
    assert str(problems[0]) == "walls.csv; expected a file; this is something else"


def test_text_is_as_good_as_a_path(write):
    assert len(read_site(str(write())).openings) == 2
