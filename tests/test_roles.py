"""Logic asks for roles: with every designation of every arrangement changed, nothing is judged, measured or told otherwise."""

from __future__ import annotations

import re
from dataclasses import asdict
from pathlib import Path

import pytest

from riserkit.design import Design
from riserkit.drawings.door.devices import elevation_devices, opening_shape
from riserkit.drawings.door.tables import calculation_table
from riserkit.holds import drawn_failing
from riserkit.proofs.sentences import proof_line, proof_words
from riserkit.reports.materials.door import door_lines
from riserkit.rules._shared.evaluate import check
from riserkit.wiring.arrangements._shared.shipped import SHIPPED_ARRANGEMENTS
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.expected import expected_readings
from tests.renaming import DEVICES, RENAMED, told_back

STRIKE = {"lock": "strike-12-secure", "egress": "mechanical", "rex": "rex-motion"}
MAGNET = {"lock": "magnet-12-300", "egress": "sensor-release", "rex": "rex-motion", "release": "release-30"}
DOORS = (
    {"lock": "strike-12-secure", "egress": "mechanical", "contact": "", "arrangement": "direct"},
    {**STRIKE, "reader_out": "reader-out"},
    {**STRIKE, "rex_aux_input": "auxiliary", "rex": "", "arrangement": "direct-with-peripherals"},
    {**STRIKE, "arrangement": "relay-module", "lock_wiring_secured": True},
    {**STRIKE, "arrangement": "relay-by-voltage", "relay": "relay-volt"},
    {**STRIKE, "lock": "exit-device-motor", "arrangement": "dry-trigger"},
    {**MAGNET, "arrangement": "splitter-magnet", "fire_alarm_release": True},
    {**MAGNET, "arrangement": "relay-external-supply", "type": "double", "lock_count": 2, "fire_alarm_release": True},
    {**STRIKE, "controller": "controller-dry", "arrangement": "controller-contact"},
    {**MAGNET, "controller": "controller-dry", "arrangement": "controller-contact", "fire_alarm_release": True},
    {**STRIKE, "lock": "strike-12-secure-keeper"},
    {**MAGNET, "lock": "magnet-12-300-bond", "type": "double", "lock_count": 2},
    {**MAGNET, "rex": "rex-button", "controller_at": "secured", "reader_in": "reader-out"},
)
"""Every arrangement, with every device that may stand in one."""


@pytest.fixture(scope="module")
def designs(site_of) -> tuple[Design, Design]:
    with pytest.MonkeyPatch.context() as patch:
        plain = site_of(*DOORS)
        patch.setattr("riserkit.design.SHIPPED_ARRANGEMENTS", RENAMED)
        return plain, site_of(*DOORS)


def test_the_doors_span_every_arrangement_and_every_device(designs):
    plain, other = designs
    assert {d.wiring.drawn.arrangement for d in plain.doors} == {a.name for a in SHIPPED_ARRANGEMENTS}
    assert {c.ref for d in plain.doors for c in d.wiring.netlist.components} == set(DEVICES)
    assert all(c.ref.startswith("ZZ") for d in other.doors for c in d.wiring.netlist.components)


def test_the_wiring_chosen_and_its_voltages_are_the_same(designs):
    plain, other = (
        [told_back(repr((d.wiring.chosen, d.wiring.voltages, d.link))) for d in one.doors] for one in designs
    )
    assert plain == other


@pytest.mark.slow
def test_every_proof_says_the_same(designs):
    plain, other = designs
    for one, two in zip(plain.doors, other.doors, strict=True):
        assert [told_back(w) for w in proof_words(two.proof, two.opening)] == list(proof_words(one.proof, one.opening))
        assert told_back(proof_line(two.proof)) == proof_line(one.proof)
        verdicts = [[(p.name, p.outcome, p.cases, p.failing) for p in d.proof.topology.properties] for d in (one, two)]
        assert verdicts[0] == verdicts[1]
        drawn = [drawn_failing(d) for d in (one, two)]
        assert [p.name if p else "" for p in drawn[:1]] == [p.name if p else "" for p in drawn[1:]]


@pytest.mark.slow
def test_every_finding_is_the_same(designs):
    plain, other = ([(f.rule, f.verdict, f.severity, f.subject, told_back(f.message), told_back(f.remedy), f.value)
                     for f in check(one)] for one in designs)  # fmt: skip
    assert sorted(map(repr, plain)) == sorted(map(repr, other))


def test_every_reading_is_the_same(designs):
    at = Temperatures(10.0, 40.0)
    plain, other = ([[{k: told_back(v) if isinstance(v, str) else v for k, v in asdict(reading).items()}
                      for reading in expected_readings(d.wiring.circuit, at)] for d in one.doors] for one in designs)  # fmt: skip
    assert plain == other
    assert all(len(readings) >= 5 for readings in plain)


def test_tables_and_elevations_show_the_same(designs):
    def shown(made: Design):
        for d in made.doors:
            shape = opening_shape(d.opening, made.site)
            yield from (told_back(repr(device)) for device in elevation_devices(d, made.site, shape))
            yield told_back(repr(calculation_table(made, d)))
            yield told_back(repr(list(door_lines(made, d))))

    plain, other = map(list, map(shown, designs))
    assert plain == other


def test_no_logic_names_a_designation():
    """Arrangements and the makers of devices give designations; nothing else may hold one as text."""
    root = Path(__file__).parents[1] / "riserkit"
    makers = (
        "wiring/parts/",
        "wiring/arrangements/",
        "standards/",
        "drawings/cover/samples.py",
        "drawings/door/devices.py",
    )
    named = re.compile(r'"(?:N1|K[123]|S1|B[1-5]|G1|T1|M[12]|X[12])(?:\.[^"]*)?"')
    found = [
        f"{path.relative_to(root)}: {line.strip()}"
        for path in sorted(root.rglob("*.py"))
        if not path.relative_to(root).as_posix().startswith(makers)
        for line in path.read_text(encoding="utf-8").splitlines()
        if named.search(line) and ">>>" not in line
    ]
    assert found == []
