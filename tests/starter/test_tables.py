"""The starting site reads without problems, explains itself, and never does harm to what is there."""

from __future__ import annotations

from pathlib import Path

import pytest

from riserkit.plugin.read import read_site
from riserkit.results.new_folder import FolderError, write_new_folder
from riserkit.starter.tables import write_starter

FILES = (
    "closets.csv", "levels.csv", "openings.csv", "pathway_nodes.csv", "pathway_segments.csv", "site.csv", "switches.csv",
    "upses.csv",
)  # fmt: skip


def test_it_reads_back_without_problems(tmp_path):
    assert write_starter(tmp_path / "mine") == FILES
    site = read_site(tmp_path / "mine")
    assert [opening.mark for opening in site.openings] == ["101", "102"]
    assert all(opening.lock and opening.controller and opening.egress for opening in site.openings)
    assert (len(site.closets), len(site.switches)) == (1, 1)


def test_every_table_explains_itself_in_comments(tmp_path):
    write_starter(tmp_path / "mine")
    for name in FILES:
        assert (tmp_path / "mine" / name).read_text("utf-8").startswith("# ")


def test_an_empty_folder_and_missing_parents_will_do(tmp_path):
    (tmp_path / "empty").mkdir()
    write_starter(tmp_path / "empty")
    write_starter(tmp_path / "a" / "b")
    assert sorted(p.name for p in (tmp_path / "empty").iterdir()) == list(FILES)
    assert sorted(p.name for p in (tmp_path / "a" / "b").iterdir()) == list(FILES)


def test_a_folder_with_something_in_it_is_left_alone(tmp_path):
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(FolderError, match="is not empty; name a folder that is not there yet"):
        write_starter(tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == ["notes.txt"]


def test_a_file_is_left_alone(tmp_path):
    path = tmp_path / "file"
    path.write_text("mine")
    with pytest.raises(FolderError, match="is no folder"):
        write_starter(path)
    with pytest.raises(FolderError, match="cannot be made: File exists"):
        write_starter(path / "deeper")
    assert path.read_text() == "mine"


def test_nothing_is_left_of_a_folder_that_could_not_be_finished(tmp_path, monkeypatch):
    written = []
    real = Path.write_bytes

    def full_disk(self: Path, data: bytes) -> int:
        if len(written) == 2:
            raise OSError(28, "No space left on device")
        written.append(self.name)
        return real(self, data)

    monkeypatch.setattr(Path, "write_bytes", full_disk)
    with pytest.raises(FolderError, match="No space left on device; nothing was written"):
        write_starter(tmp_path / "mine")
    assert len(written) == 2
    assert list(tmp_path.iterdir()) == []


def test_a_kill_in_the_middle_leaves_no_half_of_a_folder(tmp_path, monkeypatch):
    def killed(self: Path, data: bytes) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "write_bytes", killed)
    with pytest.raises(KeyboardInterrupt):
        write_new_folder(tmp_path / "mine", {"a.csv": "x"})
    assert not (tmp_path / "mine").exists()


def test_a_place_that_may_not_be_written(tmp_path, monkeypatch):
    def refuse(**_: object) -> str:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("tempfile.mkdtemp", refuse)
    with pytest.raises(FolderError, match="cannot be made: Permission denied; name a place that can be written"):
        write_starter(tmp_path / "mine")
