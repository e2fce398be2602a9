"""Documents to import, and the shipped readers of them."""

from __future__ import annotations

import importlib
import importlib.util
from collections.abc import Iterator
from pathlib import Path

import pytest

from riserkit.plugin.manager import Plugins, installed_plugins
from riserkit.results import import_site

READERS = ("riserkit_dxf_plan", "riserkit_ifc", "riserkit_xlsx")


@pytest.fixture(autouse=True, scope="session")
def readers() -> Iterator[Plugins]:
    """The installed plugins, with the shipped readers even where this checkout is newer than the installation."""
    plugins = installed_plugins()
    for name in filter(importlib.util.find_spec, READERS):
        module = importlib.import_module(name)
        if not plugins.manager.is_registered(module):
            plugins.manager.register(module, name=f"riserkit:{name.removeprefix('riserkit_')}")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(import_site, "installed_plugins", lambda: plugins)
        yield plugins


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return tmp_path / "site"
