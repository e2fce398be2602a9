"""One page for all tests of pages: the first look, with names that try to be markup, a door on HOLD, and an acceptance."""

from __future__ import annotations

import fcntl
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from riserkit.commands.main import main
from riserkit.plugin.read import read_site
from riserkit.reports.explained import wiring_of
from riserkit.wiring.arrangement import DoorCircuit

FIRST_LOOK = Path(__file__).resolve().parents[2] / "sample_drawings" / "first-look" / "site"
SITE_NAME = 'Potter\'s "Lane" <script>window.smuggled=1</script> & Studio'
DOOR_NAME = "<img src=x onerror=window.smuggled=2> \"Street\" 'door' & {{ 7 * 7 }}"
SIDE = "</dd></script><script>window.smuggled=3</script>"
HELD, FREE = "2", "1"
CHROMIUM = "/usr/bin/chromium"


@pytest.fixture(scope="session")
def hostile_site(of_all_workers: Path) -> Path:
    """The site that the page is of."""
    folder = of_all_workers / "page" / "site"
    with (of_all_workers / "page-site.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not folder.is_dir():
            beside = folder.with_name("site.new")
            shutil.copytree(FIRST_LOOK, beside)
            _change(beside)
            beside.rename(folder)
    return folder


def _change(folder: Path) -> None:
    def quoted(text: str) -> str:
        return '"' + text.replace('"', '""') + '"'

    rows = (folder / "openings.csv").read_text("utf-8")
    rows = rows.replace("Street door", quoted(DOOR_NAME)).replace(",Studio,Street,", f",Studio,{quoted(SIDE)},")
    (folder / "openings.csv").write_text(rows.replace("release-30,1.1 m,0.5 m", "release-30,2.4 m,2.5 m"), "utf-8")
    facts = (folder / "site.csv").read_text("utf-8")
    (folder / "site.csv").write_text(facts.replace("Potter's Lane Studio", quoted(SITE_NAME)), "utf-8")
    (folder / "acceptances.csv").write_text(
        "rule,subject,about,reason,name,date,severity\n"
        f"tamper,1,lock wires,{quoted('seen by the owner, <b>as is</b>')},A. Engineer,2026-03-14,warning\n", "utf-8",
    )  # fmt: skip


@pytest.fixture(scope="session")
def page_folder(hostile_site: Path, of_all_workers: Path) -> Path:
    """The page, written by the command once for all workers; to be read only."""
    out = of_all_workers / "page" / "out"
    with (of_all_workers / "page.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not out.is_dir():  # the command puts a whole folder there, or none
            done = CliRunner().invoke(main, ["page", str(hostile_site), "-o", str(out)])
            assert done.exit_code == 1, done.output
            assert "Page of 2 doors" in done.output
    return out


@pytest.fixture(scope="session")
def circuits(hostile_site: Path) -> dict[str, DoorCircuit]:
    """The circuits of both doors of that site."""
    site = read_site(hostile_site)
    found = {mark: wiring_of(site, mark).circuit for mark in (FREE, HELD)}
    assert all(found.values())
    return {mark: circuit for mark, circuit in found.items() if circuit is not None}


@contextmanager
def quiet_tab(chromium: Any, width: int, height: int) -> Iterator[Any]:
    """A tab of the browser on whose console nothing may be said."""
    context = chromium.new_context(viewport={"width": width, "height": height})
    page = context.new_page()
    page.set_default_timeout(15_000)
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    yield page
    context.close()
    assert said == []


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    """The system's browser, driven; without it the test is skipped, or fails with RISERKIT_REQUIRE_CHROMIUM=1."""
    lacking = [] if Path(CHROMIUM).is_file() else [CHROMIUM]
    lacking += [name for name in ("playwright", "axe_playwright_python") if find_spec(name) is None]
    if lacking:
        if os.environ.get("RISERKIT_REQUIRE_CHROMIUM") == "1":
            pytest.fail(f"RISERKIT_REQUIRE_CHROMIUM=1, and there is no {', '.join(lacking)}")
        pytest.skip(f"no {', '.join(lacking)}")
    playwright = import_module("playwright.sync_api")
    with playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()
