"""Fixtures that all tests share."""

from __future__ import annotations

import csv
import fcntl
import gc
import os
import shutil
import signal
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import settings

from riserkit.checked import Checked
from riserkit.commands.main import main
from riserkit.design import Design, design
from riserkit.model.assemble import assemble_site
from riserkit.model.problems import Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.pipeline import check_site
from tests import drawn, proven
from tests.sweep import SWEEPS

Rows = list[dict[str, str]]
_LOOK_AFTER = 400_000
KEPT_MARKS = ("101", "107", "109", "110", "208", "308")
SAMPLES = Path(__file__).resolve().parents[1] / "sample_drawings"


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--slow", action="store_true", help="also run the tests that take more than a second or two")
    parser.addoption(
        "--sweep", action="store_true", help="also run the large and the many cases, which take most of an hour"
    )


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Cases marked as slow or for the sweep run when they are asked for; a sweep takes the slow ones too."""
    asked = {"slow", "sweep"} if config.getoption("sweep") else {"slow"} if config.getoption("slow") else set()
    unasked = {"slow", "sweep"} - asked
    left_out = [item for item in items if any(item.get_closest_marker(name) for name in unasked)]
    config.hook.pytest_deselected(items=left_out)
    gone = set(left_out)
    items[:] = [item for item in items if item not in gone]


def pytest_configure(config: pytest.Config) -> None:
    proven.prove_once()
    if config.getoption("sweep"):
        os.environ[SWEEPS] = "1"
    # commands that tests run need not compile riserkit anew each time, which takes as long as many of them
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    # Python looks for rings of garbage after every 700 things made, which took a fifth of the time of tests that draw
    gc.set_threshold(_LOOK_AFTER, *gc.get_threshold()[1:])
    # a busy machine is no failure, and what a case costs the first time is loading
    settings.register_profile("any machine", deadline=None)
    settings.load_profile("any machine")


def pytest_collection_finish() -> None:
    """What is loaded by now stays to the end, and is not looked through for garbage again and again."""
    gc.collect()
    gc.freeze()


def pytest_runtest_setup() -> None:
    proven.prove_afresh_where_code_is_replaced()


@pytest.fixture(scope="session")
def of_all_workers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that all workers of the session share."""
    base = tmp_path_factory.getbasetemp()
    return base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base


@pytest.fixture(autouse=True, scope="session")
def own_state_folder(of_all_workers: Path) -> Iterator[None]:
    """Builds of tests leave nothing in the state folder of whoever runs them; what is proven is there for all workers."""
    proven.keep_in(of_all_workers / "proven")
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("XDG_STATE_HOME", str(of_all_workers / "state"))
        yield


@pytest.fixture(scope="module")
def drawn_once(of_all_workers: Path) -> Iterator[None]:
    """Tests of this file build to see something else than what is drawn: sheets that any of them has drawn are taken again."""
    with drawn.once(of_all_workers / "drawn"):
        yield


@pytest.fixture(scope="module")
def not_inspected() -> Iterator[None]:
    """Tests of this file build to see something else than whether sheets are legible, which takes a third of a build."""
    with drawn.uninspected():
        yield


@pytest.fixture
def plain_signals() -> Iterator[None]:
    """Signals as a terminal gives them to a command, for tests whose children are to be stopped by one.

    `nohup` and a shell's background jobs ignore some of them, and children inherit that.
    """
    names = ("SIGINT", "SIGTERM", "SIGHUP")
    before = {name: signal.getsignal(getattr(signal, name)) for name in names if hasattr(signal, name)}
    for name in before:
        signal.signal(getattr(signal, name), signal.default_int_handler if name == "SIGINT" else signal.SIG_DFL)
    yield
    for name, handler in before.items():
        signal.signal(getattr(signal, name), handler)


@cache
def _checked(sample: str) -> Checked:
    return check_site(SAMPLES / sample / "site")


@pytest.fixture(scope="session")
def checked_sample() -> Callable[[str], Checked]:
    """A sample as read, designed and checked, once a session: `first-look` or `seed-archive`."""
    return _checked


@pytest.fixture(scope="session")
def shared_dir() -> Path:
    """The folder of outside material beside the checkout.

    Where it is absent the test is skipped, so that a clone alone can be tested; with RISERKIT_REQUIRE_SHARED=1, as in
    continuous integration, its absence is a failure.
    """
    folder = Path(__file__).parents[1] / "../shared"
    if folder.is_dir():
        return folder.resolve()
    if os.environ.get("RISERKIT_REQUIRE_SHARED") == "1":
        pytest.fail("RISERKIT_REQUIRE_SHARED=1, and there is no folder ../shared beside the checkout")
    pytest.skip("no folder ../shared beside the checkout")


@pytest.fixture(scope="session")
def reference_rows(shared_dir: Path) -> Callable[[str], Rows]:
    """Read a table of published values from ../shared/reference by its file name."""

    def read(name: str) -> Rows:
        with (shared_dir / "reference" / name).open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        if not rows:
            pytest.fail(f"{name} holds no rows")
        return rows

    return read


@pytest.fixture(scope="session")
def first_look_results(of_all_workers: Path) -> Path:
    """The folder of results of the first look, built once for all workers by the command; to be read, or copied and changed."""
    out = of_all_workers / "first-look" / "out"
    with (of_all_workers / "first-look.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not out.is_dir():  # the command puts a whole folder there, or none
            done = CliRunner().invoke(main, ["build", str(SAMPLES / "first-look" / "site"), "-o", str(out)])
            assert done.exit_code == 0, done.output
    return out


@pytest.fixture(scope="session")
def seed_archive_doors(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The seed archive with six of its openings, for tests of commands to which its size is nothing."""
    folder = tmp_path_factory.mktemp("seed-archive") / "site"
    shutil.copytree(SAMPLES / "seed-archive" / "site", folder)
    gone = {row["mark"] for row in _rows(folder / "openings.csv")} - set(KEPT_MARKS)
    naming = {"openings": ("mark",), "confirmations": ("opening",), "acceptances": ("subject",), "supplies": ("opening",),
              "runs": ("from_end", "to_end")}  # fmt: skip
    for table, columns in naming.items():
        rows = _rows(folder / f"{table}.csv")
        with (folder / f"{table}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, list(rows[0]))
            writer.writeheader()
            writer.writerows(row for row in rows if not any(row[c].partition("/")[0] in gone for c in columns))
    return folder


def _rows(path: Path) -> Rows:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


OPENING = {"mark": "101", "level": "L1", "x_m": 1, "y_m": 2, "controller": "controller-c4", "contact": "contact-reed"}


@pytest.fixture(scope="session")
def site_of() -> Callable[..., Design]:
    """A design of openings that differ from a bare one as said, beside one closet with a switch on a UPS.

    `confirmed` names conditions that somebody has confirmed at each of them.
    """

    def build(
        *openings: Mapping[str, Any],
        parts: tuple[Mapping[str, Any], ...] = (),
        confirmed: tuple[str, ...] = (),
        **info: str,
    ) -> Design:
        def records(table: str, rows: list[Mapping[str, Any]]) -> list[RawRecord]:
            return [RawRecord(dict(row), Where(table, k)) for k, row in enumerate(rows, start=2)]

        rows = [{**OPENING, "mark": str(101 + k), **o} for k, o in enumerate(openings)]
        switch = {"id": "S", "closet": "C1", "ports": 48, "poe_class": 4, "poe_budget_w": 700, "on_ups": "yes"}
        tables = {
            "levels": [{"id": "L1", "elevation_m": 0}],
            "closets": [{"id": "C1", "level": "L1", "x_m": 0, "y_m": 0}],
            "switches": [switch],
            "openings": rows,
            "parts": list(parts),
            "confirmations": [
                {"opening": row["mark"], "condition": c, "name": "A. Official", "date": "2026-03-14"}
                for row in rows
                for c in confirmed
            ],
        }
        record = RawRecord(dict(info), Where("site", 1)) if info else None
        return design(assemble_site(RawSite(record, {name: records(name, given) for name, given in tables.items()})))

    return build
