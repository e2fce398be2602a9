"""A plugin that fails is named, left out and told in the findings; everything else works. Real packages, real commands."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from riserkit.findings import Finding, Severity
from riserkit.model.problems import InputError
from riserkit.pipeline import check_site
from riserkit.plugin.files import plugin_files
from riserkit.plugin.manager import Plugins
from riserkit.starter.tables import write_starter

from .packages import ROOT, install, run, start

SITE = str(ROOT / "sample_drawings/first-look/site")
RULE = '''
from riserkit.findings import Finding, Harm, Severity, Verdict

class DoorColour:
    """Doors have a colour.

    Why:
        They do.
    Measures:
        The colour.
    Limit:
        None.
    Remedy:
        Paint it.
    Source:
        Common practice, no source.
    """

    name, source, harm = "door-colour", "common practice, no source", Harm.DRAFTING

    def evaluate(self, design):
        {body}

def made(value=1.0):
    return Finding("door-colour", Verdict.PASS, Severity.NOTE, "1", "opening", "Grey.", "none", value, 2.0, "m", 1.0)

@hookimpl
def more_rules():
    return [DoorColour()]
'''
ARRANGEMENT = """
class Odd:
    name, title, rank = {name!r}, "Odd wiring", {rank}

    def screen(self, need):
        {screen}

    def supplies(self, need):
        {supplies}

    def build(self, need, choice):
        {build}

@hookimpl
def more_arrangements():
    return [Odd()]
"""


def arrangement(**parts: str) -> str:
    usual = {"name": "odd", "rank": "0.0", "screen": "return ()", "supplies": "return (None,)", "build": "return None"}
    return ARRANGEMENT.format(**{**usual, **parts})


# what the plugin does -> its code, and what is said of it
FAILING = {
    "raises at import": ("raise RuntimeError('no licence')", "plugin odd_one:odd_one 1.2.3 is left out: RuntimeError: no licence"),
    "another interface": ("riserkit_api = 7", "written for version 7 of the plugin interface; this is version 1"),
    "reader raises": ("@hookimpl\ndef read_site(path, options):\n    raise ValueError('broken reader')", "ValueError: broken reader"),
    "reader returns a list": ("@hookimpl\ndef read_site(path, options):\n    return []", "it returned list where RawSite was expected"),
    "rules raise": ("@hookimpl\ndef more_rules():\n    raise OSError('gone')", "every rule of plugin odd_one:odd_one is left out"),
    "rules are no list": ("@hookimpl\ndef more_rules():\n    return 7", "more_rules returned int where a list was expected"),
    "a rule is nonsense": ("@hookimpl\ndef more_rules():\n    return ['rule']", "not a rule"),
    "a rule without a page": (RULE.format(body="yield made()").replace("Why:", "Because:"), "expected a summary and the sections"),
    "a rule raises": (RULE.format(body="yield made(); raise ZeroDivisionError('0 doors')"), "ZeroDivisionError: 0 doors"),
    "a rule leaves": (RULE.format(body="raise SystemExit(0)"), "SystemExit: 0"),
    "a rule yields NaN": (RULE.format(body="yield made(float('nan'))"), "a value that is no finite number: nan"),
    "a rule yields text": (RULE.format(body="yield 'grey'"), "it yields str where a finding was expected"),
    "a rule returns nothing": (RULE.format(body="return None"), "TypeError"),
    "a rule without end": (RULE.format(body="while True: yield made()"), "it yields more than 1040 findings"),
    "a rule changes the site": (RULE.format(body="design.site.openings[0].lock = ''; yield made()"), "ValidationError"),
    "a rule of a taken name": (RULE.format(body="yield made()").replace("door-colour", "lock-voltage"), "riserkit has one of this name"),
    "an arrangement of a taken name": (arrangement(name="direct"), "riserkit has one of this name"),
    "an arrangement without rank": (arrangement(rank="float('nan')"), "its rank is no finite number"),
    "screen raises": (arrangement(screen="raise KeyError('lock')"), "KeyError: 'lock'"),
    "screen leaves": (arrangement(screen="raise SystemExit(0)"), "SystemExit: 0"),
    "screen yields text": (arrangement(screen="return ('no',)"), "screen yields str where a reason was expected"),
    "supplies raise": (arrangement(supplies="raise KeyError('supply')"), "KeyError: 'supply'"),
    "build raises": (arrangement(build="raise KeyError('cable')"), "KeyError: 'cable'"),
    "build returns nothing": (arrangement(), "build returned NoneType where a door circuit was expected"),
    "parts are nonsense": ("@hookimpl\ndef more_parts():\n    return [3]", "it is a int; expected a part"),
    "a part of a taken id": (
        "from riserkit.model.parts import Contact\n@hookimpl\ndef more_parts():\n"
        "    return [Contact(id='contact-reed', kind='door-contact')]",
        "riserkit has one of this name",
    ),
    "a part made past its checks": (
        "from riserkit.model.parts import Contact\n@hookimpl\ndef more_parts():\n"
        "    return [Contact.model_construct(id='c', kind='door-contact', title='', contact_a='much')]",
        "ValidationError",
    ),
    "cable types raise": ("@hookimpl\ndef more_cable_types():\n    raise ValueError('no reel')", "ValueError: no reel"),
}  # fmt: skip


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The site to start from: sound, and checked in less time than any other."""
    folder = tmp_path_factory.mktemp("starter") / "site"
    write_starter(folder)
    return str(folder)


def left_out(findings: tuple[Finding, ...]) -> list[Finding]:
    return [f for f in findings if f.rule == "plugin-left-out"]


@pytest.mark.parametrize("case", FAILING)
def test_it_is_named_and_the_rest_works(case: str, site: str, installed: Callable[[str, str], Plugins]) -> None:
    code, said = FAILING[case]
    found = check_site(site, plugins=installed("odd_one", code))
    assert not found.open_errors
    assert any(f.rule == "lock-voltage" and f.verdict == "pass" for f in found.findings)
    (told,) = left_out(found.findings)
    assert told.severity is Severity.WARNING
    assert said.lower() in told.message.lower()
    assert "odd_one" in told.message


def test_what_a_rule_said_before_it_failed_is_kept(installed: Callable[[str, str], Plugins]) -> None:
    findings = check_site(SITE, plugins=installed("odd_one", FAILING["a rule raises"][0])).findings
    assert sorted(str(f.verdict) for f in findings if f.rule == "door-colour") == ["not evaluated", "pass"]


def test_a_sound_plugin_leaves_no_trace(installed: Callable[[str, str], Plugins]) -> None:
    findings = check_site(SITE, plugins=installed("sound_one", RULE.format(body="yield made()"))).findings
    assert [str(f.verdict) for f in findings if f.rule == "door-colour"] == ["pass"]
    assert not left_out(findings)


@pytest.mark.slow
def test_a_broken_plugin_is_told_by_the_command(tmp_path: Path) -> None:
    install(tmp_path / "packages", "odd_one", "raise RuntimeError('no licence')")
    done = start(tmp_path / "packages", "check", SITE)
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr
    assert "RuntimeError: no licence" in " ".join(done.stdout.split())


READER = """
from riserkit.model.raw import RawRecord, RawSite
from riserkit.model.problems import Where

@hookimpl
def read_site(path, options):
    rows = [RawRecord({"mark": "9", "level": "L1", "x_m": 0, "y_m": 0}, Where(path.name))]
    return RawSite(None, {"levels": [RawRecord({"id": "L1", "elevation_m": 0}, Where(path.name))], "openings": rows})
"""


def test_two_readers_of_one_site_are_a_question(installed: Callable[[str, str], Plugins]) -> None:
    plugins = installed("a_reader", READER)
    with pytest.raises(InputError, match="a_reader:a_reader and riserkit:csv read this: choose one with --reader"):
        check_site(SITE, plugins=plugins)
    assert len(check_site(SITE, {"reader": "csv"}, plugins).design.doors) == 2
    assert [d.mark for d in check_site(SITE, {"reader": "a_reader"}, plugins).design.doors] == ["9"]
    with pytest.raises(InputError, match="no reader 'none' reads it"):
        check_site(SITE, {"reader": "none"}, plugins)


FILES = "@hookimpl\ndef more_files(design, findings):\n    return {}"


@pytest.mark.slow
def test_files_of_a_plugin_stand_beside_the_schedules(tmp_path: Path) -> None:
    code = FILES.format('{"doors.txt": "\\n".join(d.mark for d in design.doors), "seal.bin": b"\\x00"}')
    install(tmp_path / "packages", "door_list", code)
    done = run(
        tmp_path / "packages", "build", SITE, "-o", str(tmp_path / "out"), "--details", "typical", "--prints", "none"
    )
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out/plugins/door_list/doors.txt").read_text("utf-8") == "1\n2"
    assert (tmp_path / "out/plugins/door_list/seal.bin").read_bytes() == b"\x00"
    assert "plugins/door_list/doors.txt" in json.loads((tmp_path / "out/contents.json").read_text("utf-8"))["files"]


@pytest.mark.parametrize("name", ["../up.txt", "/etc/x", "a/b.txt", "", "nul\\0.txt", ".hidden", "trailing."], ids=repr)
def test_a_file_name_that_leads_elsewhere_is_refused(name: str, installed: Callable[[str, str], Plugins]) -> None:
    plugins = installed("door_list", FILES.format(f"{{{name!r}: 'x', 'good.txt': 'y'}}"))
    found = check_site(SITE, plugins=plugins)
    assert list(plugin_files(plugins, found.design, found.findings)) == []
    assert ["is no plain file name" in str(failure) for failure in plugins.log] == [True]


def test_parts_and_cable_types_of_a_plugin_can_be_used(tmp_path: Path) -> None:
    code = """
from riserkit.model.cabling import CableType
from riserkit.model.parts import Contact

@hookimpl
def more_parts():
    return [Contact(id="contact-roller", kind="door-contact", title="Roller contact", contact_a=0.2)]

@hookimpl
def more_cable_types():
    return [CableType(id="reel-7", title="Control, 2 conductor", kind="control", conductors=2, gauge="22 AWG")]
"""
    install(tmp_path / "packages", "more_stock", code)
    listed = json.loads(run(tmp_path / "packages", "parts", "--json").stdout)
    assert "contact-roller" in {part["id"] for part in listed}
    site = tmp_path / "site"
    site.mkdir()
    for path in Path(SITE).iterdir():
        (site / path.name).write_bytes(path.read_bytes())
    text = (site / "openings.csv").read_text("utf-8")
    assert "contact-reed" in text
    (site / "openings.csv").write_text(text.replace("contact-reed", "contact-roller"), "utf-8")
    done = run(tmp_path / "packages", "check", str(site))
    assert done.returncode in (0, 1), done.stderr
    without = run(tmp_path / "nothing", "check", str(site))
    assert without.returncode == 2


def test_the_plugins_are_listed_with_what_they_bring(tmp_path: Path) -> None:
    install(tmp_path / "packages", "door_list", FILES.format("{}"))
    install(tmp_path / "packages", "odd_one", "raise RuntimeError('no licence')")
    done = run(tmp_path / "packages", "plugins", "--json")
    listed = json.loads(done.stdout)
    assert {"plugin": "door_list:door_list", "hooks": ["more_files"]} in listed["plugins"]
    assert {"plugin": "riserkit:csv", "hooks": ["read_site", "site_formats"]} in listed["plugins"]
    assert listed["left_out"] == ["plugin odd_one:odd_one 1.2.3 is left out: RuntimeError: no licence"]
    assert done.returncode == 1
