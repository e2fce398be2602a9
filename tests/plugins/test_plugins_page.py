"""The examples of the page on plugins: each installed as a stranger's package, and run."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from riserkit.model.problems import InputError
from riserkit.pipeline import check_site
from riserkit.plugin.files import plugin_files
from riserkit.plugin.manager import Plugins
from riserkit.plugin.read import read_site
from riserkit.results.import_site import import_documents

from .packages import ROOT

PAGE = (ROOT / "docs/plugins.md").read_text("utf-8")
EXAMPLES = dict(re.findall(r"<!-- example: (\w+) -->\n```python\n(.*?)```", PAGE, re.DOTALL))
SITE = ROOT / "sample_drawings/first-look/site"


@pytest.fixture
def example(installed: Callable[[str, str], Plugins]) -> Callable[[str], Plugins]:
    """Installs an example of the page by its name."""
    return lambda name: installed(name, EXAMPLES[name])


def test_the_rule(example: Callable[[str], Plugins]) -> None:
    plugins = example("door_names")
    found = check_site(read_site(SITE).with_changes(openings={"1": {"name": None}}), plugins=plugins)
    assert [str(f.verdict) for f in found.findings if f.rule == "door-name" and f.subject == "1"] == ["fail"]
    assert not list(plugins.log)


def test_the_arrangement(example: Callable[[str], Plugins]) -> None:
    plugins = example("fused_output")
    site = read_site(SITE)
    mark = next(o.mark for o in site.openings if o.rex)
    found = check_site(site.with_changes(openings={mark: {"arrangement": "fused-output"}}), plugins=plugins)
    assert not list(plugins.log)
    wiring = found.design.door[mark].wiring
    plain = check_site(site).design.door[mark].wiring
    assert wiring.chosen is not None
    assert wiring.chosen.arrangement == "fused-output"
    assert wiring.circuit is not None
    assert "F1" in {component.ref for component in wiring.circuit.netlist.components}
    assert wiring.voltages.lock_low_v is not None
    assert plain.voltages.lock_low_v is not None
    assert wiring.voltages.lock_low_v < plain.voltages.lock_low_v  # the fuse takes its share


def test_the_arrangement_feeds_a_lock_through_a_manual_release(example: Callable[[str], Plugins]) -> None:
    """Lock power comes into the junction box there."""
    plugins = example("fused_output")
    site = read_site(SITE)
    mark = next(o.mark for o in site.openings if o.release)
    found = check_site(site.with_changes(openings={mark: {"arrangement": "fused-output"}}), plugins=plugins)
    assert not list(plugins.log)
    wiring = found.design.door[mark].wiring
    assert wiring.chosen is not None and wiring.circuit is not None
    joined = {f"{c.a}-{c.b}" for c in wiring.circuit.netlist.conductors}
    assert {"F1.2-X1.IN", "X1.0V-K1.L-"} <= joined


def test_the_reader(example: Callable[[str], Plugins], tmp_path: Path) -> None:
    plugins = example("plain_doors")
    path = tmp_path / "list.doors"
    path.write_text("101 1 2\n102 3 4\n", "utf-8")
    assert [o.mark for o in read_site(path, plugins=plugins).openings] == ["101", "102"]
    path.write_text("101 1\n102 3 far\n", "utf-8")
    with pytest.raises(InputError) as error:
        read_site(path, plugins=plugins)
    assert [str(problem.where) for problem in error.value.problems] == ["list.doors, row 1", "list.doors, row 2"]


def test_the_reader_of_documents(example: Callable[[str], Plugins], tmp_path: Path) -> None:
    """Its doors become rows as any other document's, and a line that it did not understand is one of the report."""
    plugins = example("surveyed_doors")
    document, site = tmp_path / "ground.survey", tmp_path / "site"
    document.write_text("101 1 2 915\n102 3 far 915\n103 7.5 2 1000\n", "utf-8")
    done = import_documents([document], site, plugins=plugins)
    with (site / "openings.csv").open(encoding="utf-8", newline="") as file:
        doors = {row["mark"]: (row["x_m"], row["y_m"], row["width_m"]) for row in csv.DictReader(file)}
    assert {mark: tuple(map(float, door)) for mark, door in doors.items()} == {
        "101": (1, 2, 0.915),
        "103": (7.5, 2, 1),
    }
    assert [(line.at, line.remedy) for line in done.lines if "102 3 far" in line.text] == [
        ("ground.survey, line 2", "write mark, x, y and width")
    ]
    assert not list(plugins.log)
    with pytest.raises(InputError, match=r"a surveyor's list of doors \(\.survey\)"):
        import_documents([tmp_path / "packages" / "surveyed_doors.py"], site, plugins=plugins)


def test_the_writer(example: Callable[[str], Plugins]) -> None:
    plugins = example("margin_list")
    found = check_site(SITE, plugins=plugins)
    ((name, content),) = plugin_files(plugins, found.design, found.findings)
    assert name == "plugins/margin_list/margins.csv"
    assert b"channel-length,1," in content
    assert not list(plugins.log)


def test_the_stock(example: Callable[[str], Plugins]) -> None:
    site = read_site(SITE, plugins=example("more_stock"))
    assert "contact-roller" in site.part
    assert "reel-2" in site.cable_type


def test_every_example_is_run() -> None:
    assert set(EXAMPLES) == {"door_names", "fused_output", "plain_doors", "surveyed_doors", "margin_list", "more_stock"}
