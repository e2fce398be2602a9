"""The folder of results among kills, guards and strange files: nothing lost, nothing left behind, nothing replaced unasked."""

from __future__ import annotations

import contextlib
import fcntl
import json
import logging
import multiprocessing
import os
import signal
import stat
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import pytest

from riserkit.drawings.processes import forked
from riserkit.errors import RiserkitError
from riserkit.reference.write import write_reference
from riserkit.results import folder as output
from riserkit.results.folder import CONTENTS, UNFINISHED, OutputError, look_over, recover, whole_folder
from riserkit.results.inspect import drawings_in
from riserkit.starter.tables import write_starter


def _files(folder: Path) -> dict[str, str]:
    return {p.relative_to(folder).as_posix(): p.read_text("utf-8") for p in folder.rglob("*") if p.is_file()}


def _write(target: Path, text: str = "one") -> None:
    with whole_folder(target) as folder:
        (folder / "sub").mkdir()
        (folder / "sub" / "a.txt").write_text(text, "utf-8")


def _run(code: str) -> subprocess.Popen[str]:
    return subprocess.Popen([sys.executable, "-c", textwrap.dedent(code)], stdout=subprocess.PIPE, text=True)


def _killed_at(place: str, out: Path) -> None:
    """A build that is killed at a place: `write`, or at a call of the module's by name."""
    code = f"""
        import os, signal
        from pathlib import Path
        from riserkit.results import folder as output
        def die(*_args, **_named):
            os.kill(os.getpid(), signal.SIGKILL)
        if {place!r} != "write":
            setattr(output, {place!r}, die)
        with output.whole_folder(Path({str(out)!r})) as made:
            (made / "half.txt").write_text("half")
            if {place!r} == "write":
                die()
    """
    child = _run(code)
    child.communicate(timeout=60)
    assert child.returncode == -signal.SIGKILL


@pytest.mark.parametrize("place", ["write", "_write_contents", "_put_in_place"])
def test_what_a_killed_build_left_is_cleared_by_the_next_and_told(tmp_path, place, caplog):
    out = tmp_path / "out"
    _write(out)
    _killed_at(place, out)
    assert len(list(tmp_path.iterdir())) == 2
    with caplog.at_level(logging.WARNING):
        _write(out, "two")
    assert [p.name for p in tmp_path.iterdir()] == ["out"]
    assert "a build that was killed had left it" in caplog.text
    assert _files(out)["sub/a.txt"] == "two"


@pytest.mark.parametrize("place", ["write_bytes", "replace"])
def test_what_a_killed_start_of_a_site_left_is_cleared_by_the_next(tmp_path, place):
    fresh = tmp_path / "fresh"
    code = f"""
        import os, signal
        from pathlib import Path
        from riserkit.starter.tables import write_starter
        Path.{place} = lambda *_: os.kill(os.getpid(), signal.SIGKILL)
        write_starter(Path({str(fresh)!r}))
    """
    child = _run(code)
    child.communicate(timeout=60)
    assert child.returncode == -signal.SIGKILL
    assert not fresh.exists()
    assert len(list(tmp_path.iterdir())) == 1
    names = write_starter(fresh)
    assert [p.name for p in tmp_path.iterdir()] == ["fresh"]
    assert sorted(p.name for p in fresh.iterdir()) == list(names)


def test_a_kill_while_the_old_results_are_cleared_leaves_the_new_ones_whole(tmp_path):
    out = tmp_path / "out"
    _write(out)
    _killed_at("_clear", out)
    assert "half.txt" in look_over(out).untouched
    assert not look_over(out).foreign
    recover(out)
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_only_what_a_build_left_is_cleared(tmp_path):
    out = tmp_path / "out"
    _write(out)
    mine = {".out.notes.part": "letter.txt", ".out.12345678.part": "a.dxf", ".other.12345678.part": UNFINISHED}
    for folder, file in mine.items():
        (tmp_path / folder).mkdir()
        (tmp_path / folder / file).write_text("mine", "utf-8")
    (tmp_path / "away").mkdir()
    (tmp_path / "away" / UNFINISHED).write_text("mine", "utf-8")
    (tmp_path / ".out.link.part").symlink_to(tmp_path / "away")
    before = {p.relative_to(tmp_path) for p in tmp_path.rglob("*")}
    recover(out)
    assert {p.relative_to(tmp_path) for p in tmp_path.rglob("*")} == before


def test_the_folder_of_a_build_that_still_runs_is_left_to_it(tmp_path):
    out, busy = tmp_path / "out", tmp_path / ".out.abcdefgh.part"
    busy.mkdir()
    (busy / UNFINISHED).touch()
    held = os.open(busy, os.O_RDONLY)
    try:
        fcntl.flock(held, fcntl.LOCK_EX)
        recover(out)
        assert busy.is_dir()
    finally:
        os.close(held)
    recover(out)
    assert not busy.exists()


@pytest.mark.parametrize("stop_at", [1, 2])
@pytest.mark.parametrize("can_swap", [True, False])
def test_results_are_never_out_of_sight_when_a_signal_comes(tmp_path, monkeypatch, can_swap, stop_at):
    """A stop at any rename: where the system cannot exchange two folders, between the two renames as well."""
    out = tmp_path / "out"
    if not can_swap:
        monkeypatch.setattr(output, "_swapped", lambda *_: False)
    rename, calls = Path.rename, []

    def stopped(self: Path, target: Path) -> Path:
        done = rename(self, target)
        calls.append(target)
        if len(calls) == stop_at:
            raise KeyboardInterrupt
        return done

    _write(out)
    calls.clear()
    with monkeypatch.context() as patched, contextlib.suppress(KeyboardInterrupt):
        patched.setattr(Path, "rename", stopped)
        _write(out, "two")
    assert _files(out)["sub/a.txt"] in {"one", "two"}
    assert not look_over(out).foreign
    recover(out)
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_results_that_a_kill_left_moved_aside_are_put_back(tmp_path, monkeypatch, caplog):
    out = tmp_path / "out"
    _write(out)
    out.rename(tmp_path / ".out.abcdefgh.old")
    with caplog.at_level(logging.WARNING):
        recover(out)
    assert _files(out)["sub/a.txt"] == "one"
    assert "the results of before are put back" in caplog.text


def test_two_folders_are_exchanged_in_one_step(tmp_path):
    _write(tmp_path / "a", "one")
    _write(tmp_path / "b", "two")
    if not output._swapped(tmp_path / "a", tmp_path / "b"):
        pytest.skip("this system or file system exchanges no folders")
    assert (_files(tmp_path / "a")["sub/a.txt"], _files(tmp_path / "b")["sub/a.txt"]) == ("two", "one")


@pytest.mark.parametrize(("name", "mode"), [(".", 0o500), ("sub", 0o500), ("sub/a.txt", 0o400), ("sub/a.txt", 0o200)])
def test_what_somebody_guarded_is_not_replaced(tmp_path, name, mode):
    out = tmp_path / "out"
    _write(out)
    (out / name).chmod(mode)
    told = "is not readable" if mode == 0o200 else "is read-only"
    with pytest.raises(OutputError, match=f"{told}.*choose another folder"):
        _write(out, "two")
    assert stat.S_IMODE((out / name).stat().st_mode) == mode
    (out / name).chmod(0o700)
    assert _files(out)["sub/a.txt"] == "one"


@pytest.mark.skipif(os.geteuid() != 0, reason="only an administrator can give a folder to another user")
def test_another_user_s_results_are_not_replaced(tmp_path):
    out = tmp_path / "out"
    _write(out)
    os.chown(out, 12345, 12345)
    with pytest.raises(OutputError, match="belongs to another user"):
        _write(out, "two")
    assert _files(out)["sub/a.txt"] == "one"


def test_a_reference_set_takes_the_place_of_no_other_results(tmp_path):
    out = tmp_path / "out"
    _write(out)
    with pytest.raises(OutputError, match="results of another kind"):
        write_reference(out, ("dry-trigger",))
    assert _files(out)["sub/a.txt"] == "one"


def test_new_results_may_be_read_by_whom_the_old_ones_could(tmp_path):
    out = tmp_path / "out"
    _write(out)
    out.chmod(0o750)
    _write(out, "two")
    assert stat.S_IMODE(out.stat().st_mode) == 0o750


@pytest.mark.parametrize("name", ["strange", "sub/a.txt", "drawings/T-101.dxf"])
def test_a_pipe_among_results_is_foreign_and_never_waited_for(tmp_path, name):
    out = tmp_path / "out"
    _write(out)
    (out / name).unlink(missing_ok=True)
    (out / name).parent.mkdir(exist_ok=True)
    os.mkfifo(out / name)
    signal.alarm(20)
    try:
        with pytest.raises(OutputError, match=name):
            _write(out, "two")
    finally:
        signal.alarm(0)


def test_a_pipe_among_drawings_is_named(tmp_path):
    os.mkfifo(tmp_path / "T-101.dxf")
    with pytest.raises(RiserkitError, match=r"T-101\.dxf is no file"):
        drawings_in(tmp_path)


def test_a_list_of_contents_nested_deeply_counts_as_none(tmp_path):
    out = tmp_path / "out"
    _write(out)
    (out / CONTENTS).write_text("[" * 200_000, "utf-8")
    with pytest.raises(OutputError, match=r"sub/a\.txt"):
        _write(out, "two")


def test_the_mark_of_unfinished_results_is_on_no_list(tmp_path):
    out = tmp_path / "out"
    _write(out)
    assert json.loads((out / CONTENTS).read_text())["files"].keys() == {"sub/a.txt"}
    assert not (out / UNFINISHED).exists()


def _alive(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state not in "ZX"


@pytest.mark.skipif(sys.platform != "linux", reason="work is shared among processes on Linux alone")
@pytest.mark.usefixtures("plain_signals")
@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM, signal.SIGINT])
def test_no_process_outlives_the_command_that_forked_it(number):
    code = """
        import multiprocessing, time
        from riserkit.commands.frame import stoppable
        from riserkit.drawings.processes import forked, outcome
        with stoppable(), forked(2, "drew") as pool:
            waits = [pool.submit(time.sleep, 60) for _ in range(2)]
            print(*[child.pid for child in multiprocessing.active_children()], flush=True)
            outcome(waits[0])
    """
    parent = _run(code)
    assert parent.stdout is not None
    children = [int(pid) for pid in parent.stdout.readline().split()]
    assert len(children) == 2
    assert all(map(_alive, children))
    parent.send_signal(number)
    parent.communicate(timeout=30)
    start = time.monotonic()
    while any(map(_alive, children)) and time.monotonic() - start < 10:
        time.sleep(0.02)
    assert time.monotonic() - start < 2
    assert not any(map(_alive, children))


@pytest.mark.skipif(sys.platform != "linux", reason="signals are those of Linux")
@pytest.mark.usefixtures("plain_signals")
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_stop_that_comes_in_a_callback_is_not_lost(number):
    """Python prints and forgets what is raised in the callback of a weak reference (documentation of weakref)."""
    code = f"""
        import os, sys, time, weakref
        from riserkit.commands.frame import stoppable
        class Thing: pass
        def called(_):
            os.kill(os.getpid(), {int(number)})
            time.sleep(0.1)
        try:
            with stoppable():
                thing = Thing()
                seen = weakref.ref(thing, called)
                del thing
                time.sleep(30)
        except KeyboardInterrupt as stop:
            print("stopped", getattr(stop, "number", None), flush=True)
    """
    start = time.monotonic()
    child = subprocess.run([sys.executable, "-c", textwrap.dedent(code)], capture_output=True, text=True, check=False)
    assert child.stdout.startswith("stopped"), child.stderr
    assert child.stderr == ""
    assert time.monotonic() - start < 20


@pytest.mark.skipif(sys.platform != "linux", reason="work is shared among processes on Linux alone")
def test_processes_are_ended_when_the_work_is_broken_off():
    start = time.monotonic()
    with pytest.raises(ZeroDivisionError), forked(2, "drew") as pool:
        pool.submit(time.sleep, 60)
        raise ZeroDivisionError
    assert time.monotonic() - start < 2
    assert not [child for child in multiprocessing.active_children() if "Fork" in child.name]
