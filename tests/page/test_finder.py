"""A fault found in the page from readings typed in: nothing that `riserkit diagnose` leaves is lacking, and advice leads to it."""

from __future__ import annotations

import random
import re
import shlex
import shutil
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

from riserkit.bench.faults import bench_faults
from riserkit.commands.main import main
from riserkit.plugin.read import read_site
from riserkit.reports.explained import wiring_of
from riserkit.troubleshooting.asks import supply_returns
from riserkit.troubleshooting.diagnose import Conclusion, Diagnosis, diagnose
from riserkit.troubleshooting.netlists import FaultNetlists
from riserkit.troubleshooting.observed import measurement, read_reading
from riserkit.troubleshooting.predict import predict
from riserkit.troubleshooting.sights import read_sight
from riserkit.troubleshooting.states import door_states
from riserkit.troubleshooting.suspects import Suspect, SuspectKind, netlist_of
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.meter import VOLTS
from tests.page.conftest import FIRST_LOOK, FREE, HELD, quiet_tab

AT = Temperatures(10.0, 40.0)
_SEARCHES = 2
_MOST = 9
_OTHERS = ("Somebody at the REX", "Door open", "Network power off")
_TYPED = {
    FREE: [
        (["Card at the reader"], "V DC", ("M1.+", "M1.-"), "3.0", ""),
        (["Card at the reader"], "V DC", ("M1.+", "M1.-"), "12.1", "locked"),
        (["All power off"], "Ω", ("M1.+", "M1.-"), "open", ""),
    ],
    HELD: [
        ([], "V DC", ("K1.A+", "K1.A-"), "0.0", ""),
    ],
}  # fmt: skip


@pytest.fixture(scope="module")
def tab(chromium: Any) -> Iterator[Any]:
    with quiet_tab(chromium, 360, 740) as page:
        yield page


def _open(tab: Any, folder: Path, mark: str) -> Any:
    tab.goto(f"file://{folder}/doors/{mark}.html")
    tab.wait_for_selector("#bench[data-ready]")
    # ohms are unpacked after the rest
    tab.wait_for_function("window.riserkitBenchReading(0, [], 'ohms', 'K1.L+', 'K1.L+') !== ''")
    return tab


def _type(tab: Any, switches: list[str], meter: str, leads: tuple[str, str], value: str) -> None:
    for words in switches:
        tab.click(f"#bench button:text-is('{words}')")
    tab.click(f"#bench button:text-is('{meter}')")
    tab.select_option("#bench-red", label=leads[0])
    tab.select_option("#bench-black", label=leads[1])
    tab.fill("#bench-typed", value)
    tab.click("#bench button:text-is('Add reading')")


@pytest.mark.parametrize("mark", [FREE, HELD])
def test_all_that_diagnose_leaves_is_in_the_page_too(
    tab: Any, page_folder: Path, circuits: dict[str, DoorCircuit], mark: str
) -> None:
    circuit = circuits[mark]
    for switches, meter, leads, value, seen in _TYPED[mark]:
        page = _open(tab, page_folder, mark)
        _type(page, switches, meter, leads, value)
        if seen:
            page.click(f"#bench button:text-is('Lock seen {seen}')")
        says = page.evaluate("window.riserkitFinderSays()")
        parts = shlex.split(says["command"])
        assert parts[:4] == ["riserkit", "diagnose", "SITE", mark]
        told = dict.fromkeys(["--reading", "--sees"], ())
        for option, text in zip(parts[4::2], parts[5::2], strict=True):
            told[option] = (*told[option], text)
        observed = [read_reading(circuit, text) for text in told["--reading"]]
        observed += [one for text in told["--sees"] for one in read_sight(circuit, text)]
        assert len(told["--reading"]) == 1 and len(told["--sees"]) == bool(seen)
        found = diagnose(circuit, observed, AT)
        assert found.verdict is Conclusion.SINGLE
        words = [re.sub(r", \S+ k?Ω (or more|to \S+ k?Ω)$", "", one) for one in says["left"]]
        assert _of_the_wiring(found) <= set(words), (says["command"], words)
        shown = page.locator(".bench-found > .bench-candidates li").all_inner_texts()
        assert shown == says["left"][:10]
        rest = page.locator(".bench-found details li").all_text_contents()
        assert rest == says["left"][10:]
        if value == "3.0":
            assert "poor joint" in shown[0], "what predicts the value comes before what allows anything"


def _of_the_wiring(found: Diagnosis) -> set[str]:
    """What is left but another lock, which the tables do not have."""
    return {c.suspect.words for c in found.candidates if c.suspect.kind is not SuspectKind.OTHER_PART}


@pytest.mark.parametrize("as_listed", [True, False])
def test_wires_looked_at_rule_out_the_same_as_in_diagnose(
    tab: Any, page_folder: Path, circuits: dict[str, DoorCircuit], *, as_listed: bool
) -> None:
    circuit, page = circuits[FREE], _open(tab, page_folder, FREE)
    page.click("#bench button:text-is('Card at the reader')")
    page.click("#bench button:text-is('Lock seen locked')")
    before = page.evaluate("window.riserkitFinderSays()")
    assert before["look"] in {c.ref for c in circuit.netlist.components}
    assert before["look"] in page.locator(".bench-look").inner_text()
    page.select_option("#bench-red", label="K1.L+")
    how = "device as listed" if as_listed else "not as listed"
    page.click(f"#bench-finder button:text('{how}')")
    says = page.evaluate("window.riserkitFinderSays()")
    *_, seen, _, wires = shlex.split(says["command"])
    assert (seen, wires) == ("lock locked in released", "as listed at K1" if as_listed else "not as listed at K1.L+")
    observed = [one for text in shlex.split(says["command"])[5::2] for one in read_sight(circuit, text)]
    found = diagnose(circuit, observed, AT)
    words = {re.sub(r", \S+ k?Ω (or more|to \S+ k?Ω)$", "", one) for one in says["left"]}
    assert _of_the_wiring(found) <= words
    exchanged = {one for one in words if "exchanged at K1.L+" in one or "and K1.L+" in one}
    assert bool(exchanged) is not as_listed
    assert len(words) < len(before["left"])
    # what is said of the same place anew takes its place
    page.click(f"#bench-finder button:text('{'not as listed' if as_listed else 'device as listed'}')")
    assert page.locator(".bench-taken li").count() == 2


@pytest.mark.parametrize(
    ("switches", "meter", "typed", "stated"),
    [
        ([], "V DC", "3.0 V", "3.0 V idle"),
        ([], "V DC", "3,0v", "3.0 V idle"),
        ([], "V DC", " 300 mV ", "300 mV idle"),
        (["All power off"], "Ω", "54 ohm", "54 ohm power off"),
        (["All power off"], "Ω", "4.7k", "4.7 kohm power off"),
        (["All power off"], "Ω", "2.2 MΩ", "2.2 Mohm power off"),
        (["All power off"], "Ω", "O.L", "open power off"),
    ],
)
def test_a_reading_may_be_typed_as_a_meter_shows_it(
    tab: Any,
    page_folder: Path,
    circuits: dict[str, DoorCircuit],
    switches: list[str],
    meter: str,
    typed: str,
    stated: str,
) -> None:
    page = _open(tab, page_folder, FREE)
    _type(page, switches, meter, ("M1.+", "M1.-"), typed)
    *_, reading = shlex.split(page.evaluate("window.riserkitFinderSays()")["command"])
    assert reading == f"M1.+ M1.- {stated}"
    assert read_reading(circuits[FREE], reading).asked is not None
    assert page.input_value("#bench-typed") == ""


@pytest.mark.parametrize(
    ("switches", "meter", "typed"),
    [([], "V DC", "3 ohm"), ([], "V DC", "open"), ([], "V DC", ""), ([], "V DC", "about 3"), ([], "V DC", "3.0.1"),
     (["All power off"], "Ω", "3 V"), (["All power off"], "Ω", "-")],
)  # fmt: skip
def test_what_is_no_reading_is_not_taken(
    tab: Any, page_folder: Path, switches: list[str], meter: str, typed: str
) -> None:
    page = _open(tab, page_folder, FREE)
    _type(page, switches, meter, ("M1.+", "M1.-"), typed)
    assert page.locator(".bench-taken li").count() == 0
    assert page.locator("#bench-finder [role=status]").inner_text()
    assert page.input_value("#bench-typed") == typed


def test_open_needs_no_letters(tab: Any, page_folder: Path) -> None:
    """A telephone's number keys have none."""
    page = _open(tab, page_folder, FREE)
    page.click("#bench button:text-is('All power off')")
    page.click("#bench button:text-is('Ω')")
    page.select_option("#bench-red", label="M1.+")
    page.select_option("#bench-black", label="M1.-")
    page.click("#bench button:text-is('Meter shows open (OL)')")
    assert page.evaluate("window.riserkitFinderSays()")["command"].endswith('"M1.+ M1.- open power off"')


def test_what_a_fault_allows_holds_the_range_of_the_solver(
    tab: Any, page_folder: Path, circuits: dict[str, DoorCircuit]
) -> None:
    """Parts, supplies and temperature within tolerance: a fault that `diagnose` would keep is never ruled out by a voltage."""
    circuit, chance = circuits[FREE], random.Random(11)
    page = _open(tab, page_folder, FREE)
    faults = [f for f in bench_faults(circuit) if netlist_of(circuit, f.way) is not None]
    suspects = [Suspect(SuspectKind.DEVICE, f.words, f.blames, (f.way,), 1.0) for f in faults]
    states = {"idle": [], "motion": ["Somebody at the REX"], "door open": ["Door open"]}
    switches = page.locator("[aria-label=Switches] button").all_inner_texts()
    asked, on = [], []
    for component in circuit.netlist.components:
        names = [str(end) for c in circuit.netlist.conductors for end in (c.a, c.b) if end.component == component.ref]
        for red, black in combinations(dict.fromkeys(names), 2):
            state = chance.choice(list(states))
            asked.append(measurement(VOLTS, red, black, door_states(circuit)[state]))
            on.append([switches.index(words) for words in states[state]])
    found = predict(FaultNetlists(circuit), suspects, asked, AT, typical=True)
    known = np.isfinite(found.low) & np.isfinite(found.high) & np.isfinite(found.typical)
    further = known & (
        np.maximum(found.typical - found.low, found.high - found.typical) > 0.12 * np.abs(found.typical) + 0.15
    )
    picked = [tuple(place) for place in np.argwhere(further)] + chance.sample(
        [tuple(p) for p in np.argwhere(known)], 200
    )
    assert len(picked) > 210
    for row, fault in picked:
        one = asked[row]
        allows = page.evaluate("one => window.riserkitFinderAllows(...one)", [int(fault), on[row], one.plus, one.minus])
        where = (faults[fault].words, one.plus, one.minus, on[row], allows)
        assert allows is None or allows[0] <= found.low[row, fault] + 0.05, where
        assert allows is None or allows[1] >= found.high[row, fault] - 0.05, where


@pytest.mark.slow
def test_its_own_advice_followed_leads_to_the_fault(
    tab: Any, page_folder: Path, circuits: dict[str, DoorCircuit]
) -> None:
    """The fault of the bench is the real one: its numbers are typed in, to the digit that a meter shows."""
    circuit, chance = circuits[FREE], random.Random(7)
    faults = [f for f in bench_faults(circuit) if netlist_of(circuit, f.way) is not None]
    coil = circuit.netlist.ends(circuit.coil(circuit.locks[0]))
    page = _open(tab, page_folder, FREE)

    def shows(fault: int, on: list[int], meter: str, red: str, black: str) -> str:
        text: str = page.evaluate("one => window.riserkitBenchReading(...one)", [fault, on, meter, red, black])
        number, _, unit = text.partition(" ")
        return f"{float(number) * 1000.0:.0f}" if unit == "kΩ" else number

    usual = shows(0, [0], "volts", *coil)
    noticed = [n for n in range(1, len(faults)) if shows(n, [0], "volts", *coil) not in {usual, "unsteady"}]
    for fault in chance.sample(noticed, _SEARCHES):
        page.click("#bench button:text-is('Start again')")
        if page.locator("#bench button:text-is('Card at the reader')").get_attribute("aria-pressed") == "false":
            page.click("#bench button:text-is('Card at the reader')")
        for words in _OTHERS:
            if page.locator(f"#bench button:text-is('{words}')").get_attribute("aria-pressed") == "true":
                page.click(f"#bench button:text-is('{words}')")
        asked, count = ("volts", *coil), 0
        while asked is not None and count < _MOST:
            on = page.locator("[aria-label=Switches] button").evaluate_all(
                "all => all.flatMap((b, n) => b.getAttribute('aria-pressed') === 'true' ? [n] : [])"
            )
            if not count:
                _type(page, [], "V DC", coil, shows(fault, on, *asked))
            else:
                page.fill("#bench-typed", shows(fault, on, *asked))
                page.click("#bench button:text-is('Add reading')")
            count += 1
            says = page.evaluate("window.riserkitFinderSays()")
            name = faults[fault].words.split(" ohm in ")[-1]
            assert any(name in one for one in says["left"]), (faults[fault].words, asked)
            asked = tuple(says["next"][:3]) if says["next"] else None
            if asked is not None:
                page.click("#bench button:text-is('Put the probes there')")
                assert page.locator("#bench-red option:checked").inner_text() == asked[1]
        assert count < _MOST, (faults[fault].words, says["left"])


def test_power_stays_on_as_long_as_voltages_tell_nearly_as_much(tab: Any, page_folder: Path) -> None:
    page = _open(tab, page_folder, HELD)
    _type(page, [], "V DC", ("M1.+", "M1.-"), "3")
    assert page.evaluate("window.riserkitFinderSays()")["next"][0] == "volts"


@pytest.mark.parametrize(
    ("switches", "meter", "with_unit", "plain"),
    [([], "V DC", "300 mV", "0.300"), (["All power off"], "Ω", "0.0400k", "40.0"), (["All power off"], "Ω", "0.0000400 MΩ", "40.0")],
)  # fmt: skip
@pytest.mark.slow
def test_units_count(tab: Any, page_folder: Path, switches: list[str], meter: str, with_unit: str, plain: str) -> None:
    left = []
    for typed in (with_unit, plain):
        page = _open(tab, page_folder, FREE)
        _type(page, switches, meter, ("M1.+", "M1.-"), typed)
        left.append(page.evaluate("window.riserkitFinderSays()")["left"])
    assert left[0] == left[1] and left[0]


@pytest.mark.slow
def test_a_lost_voltage_is_halved_in_on_along_the_wires_of_the_supply(tab: Any, tmp_path: Path) -> None:
    """As `diagnose` does: the black lead stays on the supply's return while the red one goes from device to device."""
    site = tmp_path / "site"
    shutil.copytree(FIRST_LOOK, site)
    text = (site / "openings.csv").read_text("utf-8").splitlines()
    (site / "confirmations.csv").unlink()
    strike = text[1].replace("strike-12-secure", "strike-24-secure") + ",relay-external-supply"
    (site / "openings.csv").write_text("\n".join([f"{text[0]},arrangement", strike]), "utf-8")
    done = CliRunner().invoke(main, ["page", str(site), "-o", str(tmp_path / "page")])
    assert done.exit_code < 2, done.output
    page = _open(tab, tmp_path / "page", "1")
    _type(page, ["Card at the reader"], "V DC", ("M1.+", "M1.-"), "15.6")
    meter, red, black, _ = page.evaluate("window.riserkitFinderSays()")["next"]
    common = supply_returns(wiring_of(read_site(site), "1").circuit)[-1]  # type: ignore[arg-type]
    assert (meter, black) == ("volts", common), (red, black)
    assert red.partition(".")[0] != common.partition(".")[0]


def test_a_state_is_told_in_words_that_keep_their_capitals(tab: Any, page_folder: Path) -> None:
    page = _open(tab, page_folder, FREE)
    _type(page, ["Somebody at the REX"], "V DC", ("M1.+", "M1.-"), "3.0")
    assert "somebody at the REX" in page.locator(".bench-taken").inner_text()
