"""Results appear whole or not at all, and nothing of the user's is ever lost for them."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from riserkit.results.folder import CONTENTS, OutputError, whole_folder


def _files(folder: Path) -> dict[str, str]:
    return {p.relative_to(folder).as_posix(): p.read_text("utf-8") for p in folder.rglob("*") if p.is_file()}


def _write(target: Path, text: str = "one") -> None:
    with whole_folder(target) as folder:
        (folder / "sub").mkdir()
        (folder / "sub" / "a.txt").write_text(text, "utf-8")


def test_a_new_folder_has_all_files_and_their_list(tmp_path):
    _write(tmp_path / "out")
    assert set(_files(tmp_path / "out")) == {"sub/a.txt", CONTENTS}
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_parents_are_made(tmp_path):
    _write(tmp_path / "a" / "b" / "out")
    assert (tmp_path / "a" / "b" / "out" / "sub" / "a.txt").read_text() == "one"


def test_a_folder_of_ours_is_replaced_whole(tmp_path):
    _write(tmp_path / "out")
    with whole_folder(tmp_path / "out") as folder:
        (folder / "b.txt").write_text("two", "utf-8")
    assert set(_files(tmp_path / "out")) == {"b.txt", CONTENTS}
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_an_empty_folder_is_used(tmp_path):
    (tmp_path / "out").mkdir()
    _write(tmp_path / "out")
    assert "sub/a.txt" in _files(tmp_path / "out")


@pytest.mark.parametrize("change", ["added", "edited", "listless"])
def test_what_riserkit_did_not_write_is_never_lost(tmp_path, change):
    out = tmp_path / "out"
    _write(out)
    if change == "added":
        (out / "drafter.dxf").write_text("mine", "utf-8")
    elif change == "edited":
        (out / "sub" / "a.txt").write_text("mine", "utf-8")
    else:
        (out / CONTENTS).unlink()
    before = _files(out)
    with pytest.raises(OutputError, match=r"drafter\.dxf|a\.txt|no contents\.json; it holds sub"):
        _write(out, "two")
    assert _files(out) == before
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


@pytest.mark.parametrize("text", ["", "not json", "[]", '{"files": 3}', '{"files": {"sub/a.txt": "0"}}'])
def test_a_spoilt_list_of_contents_counts_as_none(tmp_path, text):
    _write(tmp_path / "out")
    (tmp_path / "out" / CONTENTS).write_text(text, "utf-8")
    with pytest.raises(OutputError):
        _write(tmp_path / "out", "two")
    assert (tmp_path / "out" / "sub" / "a.txt").read_text() == "one"


@pytest.mark.parametrize("keeps_foreign", [False, True])
def test_a_folder_that_never_held_results_is_left_alone(tmp_path, keeps_foreign):
    """Somebody's own folder, named by mistake: nothing of it is read, copied or moved, edits to be kept or not."""
    mine = tmp_path / "mine"
    (mine / "sub").mkdir(parents=True)
    (mine / "sub" / "letter.txt").write_text("mine", "utf-8")
    folder = mine.stat().st_ino
    told = r"has no results of a build.*holds sub; choose another folder"
    with pytest.raises(OutputError, match=told), whole_folder(mine, keeps_foreign=keeps_foreign):
        pytest.fail("nothing may be written")
    assert (_files(mine), mine.stat().st_ino) == ({"sub/letter.txt": "mine"}, folder)
    assert [p.name for p in tmp_path.iterdir()] == ["mine"]


@pytest.mark.parametrize("name", ["circle", "n" * 300, "nul\0"])
def test_a_place_that_is_none_is_told(tmp_path, name):
    (tmp_path / "circle").symlink_to(tmp_path / "circle")
    with pytest.raises(OutputError, match="choose another folder with -o"):
        _write(tmp_path / name)
    assert [p.name for p in tmp_path.iterdir()] == ["circle"]


def test_an_error_leaves_everything_as_it_was(tmp_path):
    _write(tmp_path / "out")
    with pytest.raises(ZeroDivisionError), whole_folder(tmp_path / "out") as folder:
        (folder / "half.txt").write_text("half", "utf-8")
        _ = 1 / 0
    assert "sub/a.txt" in _files(tmp_path / "out")
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_a_file_in_the_way_is_named(tmp_path):
    (tmp_path / "out").write_text("mine", "utf-8")
    with pytest.raises(OutputError, match="is a file"):
        _write(tmp_path / "out")
    assert (tmp_path / "out").read_text() == "mine"


def test_a_file_as_parent_is_named(tmp_path):
    (tmp_path / "file").write_text("mine", "utf-8")
    with pytest.raises(OutputError, match="choose another folder"):
        _write(tmp_path / "file" / "out")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_read_only_parent_is_named(tmp_path):
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(OutputError, match="choose another folder"):
            _write(tmp_path / "out")
    finally:
        tmp_path.chmod(0o700)


def test_a_kill_in_mid_write_loses_nothing(tmp_path):
    """The old results stand whole; what was half written lies beside them under a name that says so."""
    out = tmp_path / "out"
    _write(out)
    before = _files(out)
    code = f"""
        import time
        from pathlib import Path
        from riserkit.results.folder import whole_folder
        with whole_folder(Path({str(out)!r})) as folder:
            (folder / "half.txt").write_text("half")
            print("ready", flush=True)
            time.sleep(60)
    """
    child = subprocess.Popen([sys.executable, "-c", textwrap.dedent(code)], stdout=subprocess.PIPE, text=True)
    try:
        assert child.stdout is not None
        assert child.stdout.readline().strip() == "ready"
        child.send_signal(signal.SIGKILL)
        child.wait(timeout=30)
    finally:
        child.kill()
        if child.stdout is not None:
            child.stdout.close()
    assert _files(out) == before
    assert all(p.name == "out" or p.name.endswith(".part") for p in tmp_path.iterdir())
    _write(out, "two")
    assert (out / "sub" / "a.txt").read_text() == "two"
