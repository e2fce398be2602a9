"""Places that are full, forbidden, strange or shared: a line that says so, the results of before whole, nothing left beside.

Commands run in processes forked from this one, but where it matters how Python starts.

What only an administrator can arrange (another user, a small file system) is skipped for others.
"""

from __future__ import annotations

import errno
import os
import resource
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from pathlib import Path

import pytest

from riserkit.plugin.manager import installed_plugins
from riserkit.results import build
from riserkit.results.folder import look_over
from riserkit.starter.tables import write_starter
from tests import child
from tests.command import run
from tests.sweep import swept

pytestmark = pytest.mark.usefixtures("built")
COMMAND = (sys.executable, "-c", "from riserkit.commands.main import main; main()")
SMALL = ("--prints", "none", "--details", "typical")
"""A build of few sheets."""
linux = pytest.mark.skipif(sys.platform != "linux", reason="limits and mounts are those of Linux")
administrator = pytest.mark.skipif(os.geteuid() != 0, reason="only an administrator can arrange it")


@pytest.fixture
def site(tmp_path: Path) -> Path:
    write_starter(tmp_path / "site")
    return tmp_path / "site"


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory, drawn_once: None) -> Path:
    """What is built of such a site, to be read or copied."""
    folder = tmp_path_factory.mktemp("built")
    write_starter(folder / "site")
    installed_plugins.cache_clear()  # what failed in other tests of this process is still in its log, and would be a finding here
    # here, so that its circuits are proven for all processes that are forked
    assert run("build", folder / "site", "-o", folder / "out", *SMALL).exit_code == 0
    return folder / "out"


def _started(
    *words: str | Path, before: Callable[[], None] | None = None, env: Mapping[str, str] | None = None
) -> subprocess.CompletedProcess[str]:  # fmt: skip
    """Run the command in a Python of its own."""
    return subprocess.run(
        [*COMMAND, *map(str, words)], capture_output=True, text=True, check=False, timeout=120,
        env={**os.environ, **(env or {})}, preexec_fn=before,
    )  # fmt: skip


def _says_so(done: subprocess.CompletedProcess[str]) -> bool:
    said = any(line.startswith("riserkit: ") for line in done.stderr.splitlines())
    return done.returncode == 2 and "Traceback" not in done.stderr and said


def _limit(kind: int, most: int) -> Callable[[], None]:
    return lambda: resource.setrlimit(kind, (most, most))


@linux
@swept("kib", [0, 64, 512], [64])
def test_a_limit_on_the_size_of_files_is_told_and_nothing_is_left(site, tmp_path, kib):
    """Writing beyond it raises SIGXFSZ, which Python ignores, and EFBIG (setrlimit, POSIX.1-2017)."""
    done = child.run("build", site, "-o", tmp_path / "out", *SMALL, before=_limit(resource.RLIMIT_FSIZE, kib * 1024))
    assert _says_so(done), done.stderr
    assert "too large" in done.stderr
    assert [p.name for p in tmp_path.iterdir()] == ["site"]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Callable[[int], Path]]:
    """A file system of so many KiB."""
    places = []

    def mount(kib: int) -> Path:
        place = tmp_path / f"disk{kib}"
        place.mkdir()
        done = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", f"size={kib}k", "tmpfs", str(place)], check=False, capture_output=True
        )
        if done.returncode:
            pytest.skip("no file system can be mounted here")
        places.append(place)
        return place

    yield mount
    for place in places:
        subprocess.run(["umount", str(place)], check=False)


@linux
@administrator
@swept("kib", [16, *range(256, 2049, 256)], [1024])
def test_a_full_disk_is_told_and_nothing_is_left(site, small_disk, kib):
    disk = small_disk(kib)
    done = child.run("build", site, "-o", disk / "out", *SMALL)
    assert _says_so(done), done.stderr
    assert "No space left on device" in done.stderr
    assert list(disk.iterdir()) == []


@linux
@administrator
def test_results_on_a_disk_that_fills_up_stay_as_they_were(site, built, small_disk):
    disk = small_disk(4000)
    shutil.copytree(built, disk / "out")
    before = look_over(disk / "out").stats
    left = shutil.disk_usage(disk).free
    (disk / "ballast").write_bytes(b"x" * (left - 300 * 1024))
    (site / "site.csv").write_text((site / "site.csv").read_text("utf-8").replace("Your name", "Another"), "utf-8")
    done = child.run("build", site, "-o", disk / "out", *SMALL)
    assert _says_so(done), done.stderr
    assert look_over(disk / "out").stats == before
    assert sorted(p.name for p in disk.iterdir()) == ["ballast", "out"]


@pytest.mark.parametrize("number", [errno.EDQUOT, errno.EIO, errno.EROFS])
def test_a_quota_and_other_refusals_of_the_disk_are_told_and_nothing_is_left(site, tmp_path, number):
    """A quota (EDQUOT, POSIX.1-2017) is met where it is written; few kernels let a test have a real one."""

    def refused(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    done = child.run(
        "build", site, "-o", tmp_path / "out", *SMALL, before=partial(setattr, build, "write_table", refused)
    )
    assert done.returncode == 2
    assert f"out: {os.strerror(number)}" in done.stderr
    assert [p.name for p in tmp_path.iterdir()] == ["site"]


LITTLE = {
    "12 files, check": (resource.RLIMIT_NOFILE, 12), "24 files, build": (resource.RLIMIT_NOFILE, 24),
    "300 MiB, check": (resource.RLIMIT_AS, 300 * 2**20), "700 MiB, build": (resource.RLIMIT_AS, 700 * 2**20),
}  # fmt: skip


@linux
@swept("case", list(LITTLE), ["12 files, check"])
def test_little_of_everything_is_told_or_enough(site, tmp_path, case):
    """Either it is enough, or somebody is told; never half a folder, never a hang."""
    words = ["build", site, "-o", tmp_path / "out", *SMALL] if case.endswith("build") else ["check", site]
    done = _started(*words, before=_limit(*LITTLE[case]))
    assert done.returncode in (0, 2) or "MemoryError" in done.stderr or "ImportError" in done.stderr, done.stderr
    assert done.returncode == 0 or not (tmp_path / "out").exists()
    assert {p.name for p in tmp_path.iterdir()} <= {"site", "out"}


def _another_user() -> None:
    os.setgroups([])
    os.setgid(65534)
    os.setuid(65534)


@linux
@administrator
@pytest.mark.parametrize("what", ["site", "cell", "target", "no process"])
def test_what_another_user_may_not_is_told(tmp_path, what):
    """As a user without rights: an unreadable site or table, a folder that is not his, no process left to fork."""
    tmp_path.chmod(0o755)
    for parent in tmp_path.parents:
        if parent.stat().st_mode & 0o005 != 0o005:
            if parent == Path("/tmp") or not {"pytest", "popen"} & {*parent.name.split("-")}:
                pytest.skip("the folder of temporary files is closed to others")
            parent.chmod(0o755)
    write_starter(tmp_path / "site")
    mine = tmp_path / "mine"
    mine.mkdir()
    os.chown(mine, 65534, 65534)
    if what in ("site", "cell"):
        (tmp_path / "site" if what == "site" else tmp_path / "site" / "openings.csv").chmod(
            0o700 if what == "site" else 0
        )
    target = tmp_path / "out" if what == "target" else mine / "out"

    def before() -> None:
        _another_user()
        if what == "no process":
            resource.setrlimit(resource.RLIMIT_NPROC, (0, 0))

    try:
        done = child.run("build", tmp_path / "site", "-o", target, *SMALL, before=before, env={"HOME": str(mine)})
    except PermissionError:
        pytest.skip("another user may not run this Python")
    if what == "no process":
        assert done.returncode in (0, 2), done.stderr
        assert done.returncode == 0 or _says_so(done)
    elif what == "site":
        assert done.returncode == 2
        assert done.stderr.endswith("is not readable.\n")
        assert not target.exists()
    else:
        assert _says_so(done), done.stderr
        assert "Permission denied" in done.stderr
        assert not target.exists()
    assert not [p for p in mine.iterdir() if p.name.startswith(".out")]


_FAKETIME = next(map(str, Path("/usr/lib").glob("*/faketime/libfaketime.so.1")), "")
STRANGE: dict[str, Mapping[str, str]] = {
    "no folder for temporary files": {"TMPDIR": "/nonexistent", "TEMP": "/nonexistent", "TMP": "/nonexistent"},
    "no home": {"HOME": "/nonexistent", "XDG_CONFIG_HOME": "/nonexistent", "XDG_CACHE_HOME": "/nonexistent"},
    "locale C": {"LC_ALL": "C", "LANG": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
    "another time zone": {"TZ": "Pacific/Kiritimati"},
    "a clock in 1970": {
        "LD_PRELOAD": _FAKETIME,
        "FAKETIME": "1970-01-01 00:00:10",
        "FAKETIME_DONT_FAKE_MONOTONIC": "1",
    },
}


@swept("case", list(STRANGE), ["locale C"])
@pytest.mark.slow
def test_a_strange_environment_changes_no_byte(site, built, tmp_path, case):
    if case == "a clock in 1970" and not _FAKETIME:
        pytest.skip("no library that turns the clock back is installed")
    strange = tmp_path / "strange"
    done = _started("build", site, "-o", strange, *SMALL, env=STRANGE[case])
    assert done.returncode == 0, done.stderr
    assert look_over(built).untouched == look_over(strange).untouched


@linux
@pytest.mark.parametrize(("mask", "mode"), [(0o022, 0o755), (0o077, 0o700), (0o000, 0o777), (0o777, 0o000)])
def test_an_odd_umask_is_kept_to(tmp_path, mask, mode):
    done = child.run("new", tmp_path / "fresh", before=lambda: os.umask(mask) and None)
    if mask == 0o777:
        assert done.returncode in (0, 2), done.stderr
        assert "Traceback" not in done.stderr
    else:
        assert done.returncode == 0, done.stderr
        assert (tmp_path / "fresh").stat().st_mode & 0o777 == mode


def test_results_inside_the_site_are_no_part_of_it(site):
    assert child.run("build", site, "-o", site / "out", *SMALL).returncode == 0
    again = child.run("build", site, "-o", site / "out", *SMALL)
    assert again.returncode == 0, again.stderr
    done = child.run("build", site, "-o", site, *SMALL)
    assert _says_so(done), done.stderr
    assert "no results of a build" in done.stderr


def test_links_to_the_place_of_results_are_followed_and_circles_told(site, tmp_path):
    (tmp_path / "real").mkdir()
    (tmp_path / "out").symlink_to(tmp_path / "real")
    assert child.run("build", site, "-o", tmp_path / "out", *SMALL).returncode == 0
    assert (tmp_path / "out").is_symlink()
    assert look_over(tmp_path / "real").untouched
    (tmp_path / "circle").symlink_to(tmp_path / "circle")
    for words in (("check", tmp_path / "circle"), ("build", site, "-o", tmp_path / "circle")):
        assert _says_so(child.run(*words))


@linux
@pytest.mark.usefixtures("plain_signals")
def test_two_builds_into_one_folder_leave_the_whole_results_of_one(site, tmp_path):
    both = [child.Child("build", site, "-o", tmp_path / "out", *SMALL) for _ in range(2)]
    told = [one.communicate(timeout=120)[1] for one in both]
    codes = sorted(one.returncode for one in both)
    assert codes in ([0, 0], [0, 2]), told
    assert codes == [0, 0] or "changed during the build" in "".join(told)
    assert not look_over(tmp_path / "out").foreign
    assert sorted(p.name for p in tmp_path.iterdir()) == ["out", "site"]


@linux
@pytest.mark.usefixtures("plain_signals")
@swept("after_s", [1.0, 2.0, 4.0, 6.0], [2.0])
@pytest.mark.slow
def test_ctrl_c_is_answered_soon_at_every_stage(site, tmp_path, after_s):
    """Within a second on a machine that is not busy; here there is room for one that is."""
    words = [*COMMAND, "build", str(site), "-o", str(tmp_path / "out"), "--prints", "pdf"]
    running = subprocess.Popen(
        words, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    try:
        running.wait(after_s)
    except subprocess.TimeoutExpired:
        start = time.monotonic()
        os.killpg(running.pid, signal.SIGINT)
        _, told = running.communicate(timeout=60)
        assert time.monotonic() - start < 5
        assert "Traceback" not in told or "import" in told
        left = sorted(p.name for p in tmp_path.iterdir())
        # one that comes as the results have just been put in place leaves them whole
        assert left == ["site"] or (left == ["out", "site"] and not look_over(tmp_path / "out").foreign)
    else:
        running.communicate()
