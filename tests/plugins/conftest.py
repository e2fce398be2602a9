"""A small sound site as tables, to be spoilt or enriched by each test."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import pytest

from riserkit.model.problems import InputError, Problem
from riserkit.plugin.manager import Plugins, find_plugins
from riserkit.plugin.read import read_site

from .packages import install

SOUND: Mapping[str, str] = {
    "site.csv": "key,value\nname,Boathouse\n",
    "levels.csv": "id,elevation_m\nL1,0\n",
    "closets.csv": "id,level,x_m,y_m\nTR1,L1,1,2\n",
    "switches.csv": "id,closet,ports\nSW1,TR1,24\n",
    "openings.csv": "mark,level,x_m,y_m\n101,L1,3,4\n102,L1,5,6\n",
}


@pytest.fixture
def write(tmp_path: Path) -> Callable[..., Path]:
    """Writes a folder: the sound tables, changed or joined by those given; None takes one out."""

    def make(changes: Mapping[str, str | bytes | None] | None = None) -> Path:
        folder = tmp_path / "site"
        folder.mkdir()
        for name, content in {**SOUND, **(changes or {})}.items():
            if content is not None:
                (folder / name).write_bytes(content if isinstance(content, bytes) else content.encode())
        return folder

    return make


@pytest.fixture
def problems_of() -> Callable[..., tuple[Problem, ...]]:
    """Reads a path and gives every problem found."""

    def read(path: Path, options: Mapping[str, str] | None = None) -> tuple[Problem, ...]:
        with pytest.raises(InputError) as caught:
            read_site(path, options)
        return caught.value.problems

    return read


@pytest.fixture
def installed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str, str], Plugins]]:
    """Installs a package of that name and code, and looks for plugins afresh."""
    monkeypatch.syspath_prepend(str(tmp_path / "packages"))
    made: list[str] = []

    def make(name: str, code: str) -> Plugins:
        install(tmp_path / "packages", name, code)
        made.append(name)
        importlib.invalidate_caches()
        return find_plugins()

    yield make
    for name in made:
        sys.modules.pop(name, None)
