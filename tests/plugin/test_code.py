"""What plugins bring decides what sheets show, so their code counts among what a sheet is drawn from."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from riserkit.plugin.code import code_digest
from riserkit.plugin.manager import Plugins, empty_manager, find_plugins
from riserkit.results import build
from riserkit.results.build import BuildOptions, build_site
from riserkit.results.folder import CONTENTS
from riserkit.starter.tables import write_starter

HOOK = "from riserkit.plugin.hooks import hookimpl\nimport {0}_words\n\n@hookimpl\ndef site_formats():\n    return ''\n"


class _Package:
    """A plugin of two modules, or a package with a module in it, as an installer or an editable installation leaves it."""

    def __init__(self, place: Path, name: str, *, editable: bool) -> None:
        self.helper, self.name = place / f"{name}_words.py", name
        self.info = place / f"{name}-1.0.dist-info"
        self.info.mkdir()
        self.helper.write_text("title = 'one'\n", "utf-8")
        (place / f"{name}.py").write_text(HOOK.format(name), "utf-8")
        (self.info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n", "utf-8")
        (self.info / "entry_points.txt").write_text(f"[riserkit]\nmine = {name}\n", "utf-8")
        if editable:
            stated = {"url": place.as_uri(), "dir_info": {"editable": True}}
            (self.info / "direct_url.json").write_text(json.dumps(stated), "utf-8")
        else:
            (self.info / "RECORD").write_text(f"{name}.py,,\n{name}_words.py,,\n", "utf-8")


@pytest.fixture(params=[True, False], ids=["editable", "installed"])
def package(request, tmp_path, monkeypatch):
    place = tmp_path / "installed"
    place.mkdir()
    monkeypatch.syspath_prepend(str(place))
    yield _Package(place, "wording", editable=request.param)
    for name in ("wording", "wording_words"):
        sys.modules.pop(name, None)


def test_every_file_of_a_plugin_counts_and_nothing_else_does(package, tmp_path):
    first = code_digest(find_plugins())
    assert first == code_digest(find_plugins())
    assert first != code_digest(Plugins(empty_manager()))
    (tmp_path / "elsewhere.py").write_text("x = 1\n", "utf-8")
    assert first == code_digest(find_plugins())
    package.helper.write_text("title = 'two'\n", "utf-8")
    second = code_digest(find_plugins())
    assert second != first
    (package.info / "METADATA").write_text("Metadata-Version: 2.1\nName: wording\nVersion: 1.1\n", "utf-8")
    assert code_digest(find_plugins()) != second


def test_a_plugin_that_is_left_out_does_not_count(package):
    without = code_digest(Plugins(empty_manager()))
    (package.helper.parent / "wording.py").write_text("riserkit_api = 99\n", "utf-8")
    assert code_digest(find_plugins()) == without


@pytest.mark.slow
def test_sheets_are_drawn_anew_when_a_plugin_s_code_changes(tmp_path, monkeypatch, not_inspected):
    """A swap of two conductors in a helper of a plugin shows in the table of conductors and on the door sheet alike."""
    write_starter(tmp_path / "site")

    def drawn_from(code: str) -> dict[str, str]:
        monkeypatch.setattr(build, "code_digest", lambda _: code)
        asked = BuildOptions(prints=(), details="each", doors=("101",))
        build_site(tmp_path / "site", tmp_path / "out", asked)
        return json.loads((tmp_path / "out" / CONTENTS).read_text("utf-8"))["drawn_from"]

    one, same, other = drawn_from("one"), drawn_from("one"), drawn_from("two")
    assert one == same
    assert one.keys() == other.keys()
    assert not [name for name in one if one[name] == other[name]]
