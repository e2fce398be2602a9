"""Imports that are killed or that meet: whole tables, or a line that says so; nobody's work is written over."""

from __future__ import annotations

import os
import signal
from pathlib import Path

import pytest

from riserkit.model.problems import InputError
from riserkit.model.raw import BROKEN_OFF
from riserkit.plugin.read import read_site
from riserkit.results import import_site, replace_files
from riserkit.results.folder import locked
from riserkit.results.import_site import import_documents
from riserkit.results.replace_files import STAGED, ReplaceError
from riserkit.starter.tables import write_starter
from tests.folders import bytes_in


@pytest.fixture
def document(tmp_path: Path) -> Path:
    path = tmp_path / "doors.csv"
    path.write_text("Door No.,Room name,Width mm,Height mm\n101,Office,900,2100\n102,Store,900,2100\n", "utf-8")
    return path


def test_a_site_that_an_import_left_half_new_is_not_read(tmp_path):
    write_starter(tmp_path / "site")
    (tmp_path / "site" / BROKEN_OFF).parent.mkdir()
    (tmp_path / "site" / BROKEN_OFF).write_text("[]", "utf-8")
    with pytest.raises(InputError, match="import again to complete it"):
        read_site(tmp_path / "site")


def test_an_import_that_runs_is_not_cleared_away_by_the_next(tmp_path, document):
    site = tmp_path / "site"
    import_documents([document], site)
    (site / STAGED).mkdir()
    (site / STAGED / "openings.csv").write_bytes(b"being written")
    before = bytes_in(site)
    with locked(site / STAGED), pytest.raises(ReplaceError, match="by another import"):
        import_documents([document], site)
    assert bytes_in(site) == before
    import_documents([document], site)  # the other is dead: what it left is cleared away
    assert not (site / STAGED).exists()


@pytest.mark.parametrize("there_before", [False, True])
def test_of_two_imports_the_later_writes_over_nothing(tmp_path, document, monkeypatch, there_before):
    """The other comes to its end after this one has read the folder."""
    site = tmp_path / "site"
    if there_before:
        import_documents([document], site)
    other = tmp_path / "other.csv"
    other.write_text("Door No.,Room name,Width mm,Height mm\n201,Lab,1000,2100\n", "utf-8")
    merge = import_site.merge

    def late(*args):
        monkeypatch.setattr(import_site, "merge", merge)
        import_documents([other], site)
        return merge(*args)

    monkeypatch.setattr(import_site, "merge", late)
    with pytest.raises(ReplaceError, match="was changed while"):
        import_documents([document], site)
    assert b"\n201," in (site / "openings.csv").read_bytes()
    assert not (site / STAGED).exists()


def test_a_failure_in_a_folder_of_somebody_s_own_leaves_it(tmp_path, monkeypatch):
    """A folder that came to be meanwhile is not taken for ours."""
    site = tmp_path / "site"

    def fails(folder, *_):
        (folder / "notes.txt").write_text("mine", "utf-8")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(replace_files, "_replace", fails)
    with pytest.raises(ReplaceError, match="No space left"):
        replace_files.replace_files(site, {"a.csv": b""}, {})
    assert bytes_in(site) == {"notes.txt": b"mine"}


@pytest.mark.parametrize(
    "name", ["import.toml", "mapping.toml", "openings.csv", "import/last.json", "import/report.csv"]
)
def test_a_pipe_in_the_place_of_a_file_is_named_and_never_waited_for(tmp_path, document, name):
    pipe = tmp_path / "site" / name
    pipe.parent.mkdir(parents=True)
    os.mkfifo(pipe)
    signal.alarm(20)
    try:
        with pytest.raises((InputError, ReplaceError), match=rf"{pipe.name}.*no file|{pipe.name}.*this is none"):
            import_documents([document], tmp_path / "site")
    finally:
        signal.alarm(0)
    assert bytes_in(tmp_path / "site") == {}


@pytest.mark.parametrize("name", ["import.toml", "mapping.toml", "import", "import/last.json", "backgrounds"])
def test_nothing_is_read_or_written_through_a_link_out_of_the_site(tmp_path, document, name):
    away, link = tmp_path / "away", tmp_path / "site" / name
    away.mkdir()
    link.parent.mkdir(parents=True)
    link.symlink_to(away)
    with pytest.raises(InputError, match=rf"{name}.*a link out of it"):
        import_documents([document], tmp_path / "site")
    assert not list(away.iterdir())


def test_a_file_where_the_record_has_its_folder_is_left_and_told(tmp_path, document):
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / "import").write_text("mine", "utf-8")
    with pytest.raises(ReplaceError, match="cannot be written"):
        import_documents([document], tmp_path / "site")
    assert bytes_in(tmp_path / "site") == {"import": b"mine"}
