"""Plugins are found by entry points, and one that is broken is named and left out without harm to the others."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

import pluggy
import pytest

from riserkit.model.problems import InputError, Where
from riserkit.model.raw import RawRecord, RawSite
from riserkit.plugin import hooks
from riserkit.plugin.manager import Plugins, find_plugins, installed_plugins
from riserkit.plugin.read import read_site

READER = """
from riserkit.plugin.hooks import hookimpl
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.problems import Where

@hookimpl
def site_formats():
    return "a list of doors in plain text (plain)"

@hookimpl
def read_site(path, options):
    if path.suffix != ".doors":
        return None
    level = RawRecord({"id": "L1", "elevation_m": 0}, Where(path.name))
    rows = [RawRecord({"mark": m, "level": "L1", "x_m": 0, "y_m": 0}, Where(path.name, n)) for n, m in
            enumerate(path.read_text().split(), 1)]
    return RawSite(None, {"levels": [level], "openings": rows})
"""


@pytest.fixture
def install(tmp_path, monkeypatch):
    """Puts a package of one module with its entry point on the path, as an installer would."""
    monkeypatch.syspath_prepend(str(tmp_path))
    made = []

    def make(name: str, code: str, version: str = "1.2.3") -> None:
        (tmp_path / f"{name}.py").write_text(code)
        info = tmp_path / f"{name}-{version}.dist-info"
        info.mkdir()
        (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n")
        (info / "entry_points.txt").write_text(f"[riserkit]\n{name}_point = {name}\n")
        importlib.invalidate_caches()
        made.append(name)

    yield make
    # Another test's package may have the same name.
    for name in made:
        sys.modules.pop(name, None)


def test_the_shipped_plugins_are_registered_as_a_stranger_s():
    plugins = installed_plugins()
    assert {"riserkit:csv", "riserkit:json"} <= {name for name, _ in plugins.manager.list_name_plugin()}
    assert not list(plugins.log)


def test_a_stranger_s_package_reads_its_own_format(install, tmp_path):
    install("plain_doors", READER)
    path = tmp_path / "list.doors"
    path.write_text("101 102")
    site = read_site(path, plugins=find_plugins())
    assert [opening.mark for opening in site.openings] == ["101", "102"]
    with pytest.raises(InputError, match="a list of doors in plain text"):
        read_site(tmp_path / "nothing", plugins=find_plugins())


BROKEN = {
    "does not import": ("import nothing_of_this_name", "ModuleNotFoundError"),
    "is no python": ("def (", "SyntaxError"),
    "raises": ("raise RuntimeError('no licence')", "RuntimeError: no licence"),
    "ends the program": ("raise SystemExit(3)", "SystemExit: 3"),
    "unknown hook": (
        "from riserkit.plugin.hooks import hookimpl\n@hookimpl\ndef read_sight(path, options): ...",
        "unknown hook 'read_sight'",
    ),
    "unknown argument": (
        "from riserkit.plugin.hooks import hookimpl\n@hookimpl\ndef read_site(path, folder): ...",
        "PluginValidationError",
    ),
}


@pytest.mark.parametrize("case", BROKEN)
def test_a_broken_plugin_is_named_with_its_version_and_left_out(case, install, caplog):
    code, reason = BROKEN[case]
    install("broken_one", code)
    install("sound_one", READER)
    plugins = find_plugins()
    (skipped,) = plugins.log
    assert str(skipped).startswith("plugin broken_one:broken_one_point 1.2.3 is left out: ")
    assert reason in skipped.reason
    assert [r.getMessage() for r in caplog.records if r.levelname == "WARNING"] == [str(skipped)]
    names = {name for name, _ in plugins.manager.list_name_plugin()}
    shipped = {"riserkit:csv", "riserkit:json", "riserkit:xlsx", "riserkit:dxf_plan", "riserkit:ifc"}
    assert {*shipped, "sound_one:sound_one_point"} == names


def test_a_plugin_may_offer_rules_only(install):
    install("rules_only", "from riserkit.plugin.hooks import hookimpl\n@hookimpl\ndef more_rules():\n    return []\n")
    assert not list(find_plugins().log)


class _Registered:
    """A plugin that is an object, registered by a caller of the library."""

    def __init__(self, result: object) -> None:
        self.result = result

    @hooks.hookimpl
    def read_site(self, path: Path, options: dict[str, str]) -> object:
        return self.result


def _manager(plugin: object) -> Plugins:
    manager = pluggy.PluginManager(hooks.GROUP)
    manager.add_hookspecs(hooks.Hooks)
    manager.register(plugin, name="by-hand")
    return Plugins(manager)


def test_a_plugin_registered_by_hand(tmp_path):
    where = Where("made up")
    tables = {
        "levels": [RawRecord({"id": "L1", "elevation_m": 0}, where)],
        "openings": [RawRecord({"mark": "1", "level": "L1", "x_m": 0, "y_m": 0}, where)],
    }
    assert read_site(tmp_path, plugins=_manager(_Registered(RawSite(None, tables)))).openings[0].mark == "1"


def test_a_plugin_that_returns_something_else(tmp_path):
    with pytest.raises(InputError, match="by-hand is left out: it returned dict where RawSite was expected"):
        read_site(tmp_path, plugins=_manager(_Registered({})))


def test_no_plugin_at_all(tmp_path):
    with pytest.raises(InputError, match="none, as no plugin is installed"):
        read_site(tmp_path, plugins=_manager(object()))
