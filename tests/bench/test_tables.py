"""Numbers of the tables against the solver asked one thing at a time, with the meter in its circuit."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from riserkit.bench.live import CARD, CHATTERS, LOCKS, NOT_TAKEN, OFF, REQUEST
from riserkit.bench.switches import bench_switches, live_combinations
from riserkit.bench.table import BenchTable, table_key
from riserkit.circuits.cases import State
from riserkit.circuits.netlist import Netlist
from riserkit.troubleshooting.changes import changed
from riserkit.troubleshooting.ohms import linear_to_an_ohmmeter
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.meter import OHMS, OPEN_OHM, Measurement, measure
from tests.bench.measured import Door, pick
from tests.wiring.conftest import Doors

Tables = Callable[[str], BenchTable]
SOME = ("direct", "direct with peripherals", "relay by voltage", "direct with peripherals, in and out readers")
_AT_20 = Temperatures(20.0, 20.0)
_CASES, _OHMS = 30, 12
_CLOSE_V = 0.0015


def _places(table: BenchTable, *keys: str) -> frozenset[int]:
    return frozenset(n for n, s in enumerate(table.switches) if s.names and any(key in s.role for key in keys))


def _fault(table: BenchTable, words: str) -> int:
    return next(n for n, f in enumerate(table.faults) if words in f.words)


def _near(table: BenchTable, fault: int, chance: random.Random) -> tuple[str, str]:
    """Terminals of the wires at fault half of the time, where the meter's own resistance counts most."""
    blamed = table.faults[fault].blames
    ends = sorted({str(end) for c in table.circuit.netlist.conductors if c.ref in blamed for end in (c.a, c.b)})
    return pick(chance, ends if len(ends) > 1 and chance.random() < 0.5 else table.live.terminals)


@pytest.mark.parametrize("variant", SOME)
def test_volts_are_the_solvers_with_the_meter_in_circuit(tables: Tables, variant: str) -> None:
    table, chance = tables(variant), random.Random(variant)
    steady = 0
    for _ in range(_CASES):
        fault, place = chance.randrange(len(table.faults)), chance.randrange(len(table.combinations))
        card = chance.random() < 0.5
        plus, minus = _near(table, fault, chance)
        on = sorted(table.combinations[place].on) + ([0] if card else [])
        found = table.volts(fault, place, card, plus, minus)
        own = Door.of(table.circuit, table.faults[fault]).volts(table.switches, on, plus, minus).volts
        where = f"{table.faults[fault].words}; {on}; {plus} to {minus}"
        if found is None or own is None:
            assert found is own, where
        else:
            assert found == pytest.approx(own, abs=_CLOSE_V), where
            steady += 1
    assert steady > _CASES // 2


@pytest.mark.parametrize("variant", SOME[1:3])
def test_ohms_are_those_of_the_solver_with_an_ohmmeter(tables: Tables, variant: str) -> None:
    table, chance = tables(variant), random.Random(variant)
    compared = 0
    while compared < _OHMS:
        fault, place = chance.randrange(len(table.faults)), chance.randrange(len(table.dead))
        netlist = Door.of(table.circuit, table.faults[fault]).netlist
        if not all(np.isfinite(list(e.values.values())).all() for c in netlist.components for e in c.elements):
            continue
        plus, minus = _near(table, fault, chance)
        asked = Measurement(OHMS, plus, minus, _known(netlist, table.dead[place].outside), dead=True)
        own = float(measure([netlist], [asked], _AT_20)[0].nominal[0])
        found = table.ohms_between(fault, place, plus, minus)
        assert found == (own if own > OPEN_OHM else pytest.approx(own, rel=1e-4, abs=1e-4)), (
            table.faults[fault].words,
            plus,
            minus,
        )
        compared += 1


def _known(netlist: Netlist, outside: State) -> dict[str, bool]:
    moving = {e.control for c in netlist.components for e in c.elements}
    return {name: on for name, on in outside.items() if name in moving}


def test_between_two_circuits_that_nothing_joins_a_meter_shows_nothing(tables: Tables) -> None:
    table = tables("relay by voltage")
    live = table.live
    parts = live.patterns.found[live.pattern[0, 0, 0]]
    volts = live.v[0, 0, 0]
    apart = [(a, b) for a in range(len(live.terminals)) for b in range(a)
             if parts.share[parts.part[a], parts.part[b]] == 0.0 and not live.drift[0, 0, 0]]  # fmt: skip
    assert any(abs(volts[a] - volts[b]) > 3.0 for a, b in apart)
    assert all(table.volts(0, 0, False, live.terminals[a], live.terminals[b]) == 0.0 for a, b in apart)


def test_a_meter_across_a_broken_wire_shows_the_supply_where_a_load_is_beyond(tables: Tables) -> None:
    """And its own 10 megohm hardly counts: the load is a few hundred ohm."""
    table = tables("direct")
    netlist, lock = table.circuit.netlist, table.circuit.locks[0]
    wire = next(c for c in netlist.conductors if c.cable and f"{lock}.+" in (str(c.a), str(c.b)))
    broken = next(n for n, f in enumerate(table.faults) if f.blames == {wire.ref} and f.kind == "wire open")
    across = table.volts(broken, 0, True, str(wire.a), str(wire.b))
    assert across is not None
    assert abs(across) == pytest.approx(12.0, abs=0.05)


def test_the_controller_decides_as_a_controller_does(tables: Tables) -> None:
    table = tables("direct with peripherals")
    live, at = table.live, table.combination_of
    idle, motion, off = at[frozenset()], at[_places(table, "REX active")], at[_places(table, "no power")]
    assert live.decides[0, idle].tolist() == [LOCKS, CARD]
    assert live.decides[0, motion].tolist() == [REQUEST, REQUEST]
    assert live.decides[0, off].tolist() == [OFF, OFF]
    assert not live.closed[0, off].any()
    strike = table.circuit.locks[0]
    volts = [table.volts(0, place, card, *table.circuit.netlist.ends(table.circuit.coil(strike)))
             for place, card in ((idle, False), (idle, True), (motion, False), (off, True))]  # fmt: skip
    assert [v is not None and abs(v) > 9.0 for v in volts] == [False, True, True, False]
    cut = _fault(table, "PoE cable W")
    assert (live.decides[cut] == OFF).all()
    assert not live.online[cut].any()


def test_a_reader_without_data_or_supply_takes_no_card(tables: Tables) -> None:
    table = tables("direct with peripherals, in and out readers")
    live = table.live
    assert live.reader_on[0, 0].all()
    netlist = table.circuit.netlist
    refs = [c.ref for c in netlist.components if c.role == "reader"]
    first = _fault(table, f"{refs[0]} dead")
    assert live.reader_on[first, 0, 1].tolist() == [False, True]
    assert live.decides[first, 0, 1] == CARD
    assert (live.decides[:, 0, 1] == NOT_TAKEN).any()


def test_faults_that_make_one_netlist_show_the_same(tables: Tables) -> None:
    table = tables("direct with peripherals")
    by_way: dict[object, list[int]] = {}
    for n, fault in enumerate(table.faults):
        by_way.setdefault(fault.way, []).append(n)
    twins = [few for few in by_way.values() if len(few) > 1]
    assert twins
    for one, *others in twins:
        for other in others:
            np.testing.assert_array_equal(table.live.v[one], table.live.v[other])
    # the ends of a load that is dead are solved, not left out
    assert (table.live.trouble[1:, 0, 0] <= CHATTERS).mean() > 0.95


def test_poor_joints_of_a_lock_wire_take_voltage_in_step(tables: Tables) -> None:
    """By hand: a strike of resistance R behind a joint r has R / (R + r) of what it had, while it holds."""
    table = tables("direct")
    netlist, lock = table.circuit.netlist, table.circuit.locks[0]
    ends = netlist.ends(table.circuit.coil(lock))
    coil_ohm = netlist.element(table.circuit.coil(lock)).values["r_ohm"]
    healthy = table.volts(0, 0, True, *ends)
    assert healthy is not None
    feeding = {c.ref for c in netlist.conductors if c.cable and {str(c.a), str(c.b)} & set(ends)}
    assert feeding
    for n, fault in enumerate(table.faults):
        if fault.joint_ohm and fault.blames <= feeding:
            found = table.volts(n, 0, True, *ends)
            assert found == pytest.approx(healthy * coil_ohm / (coil_ohm + fault.joint_ohm), rel=0.02)


def test_doors_share_a_table_only_where_all_values_are_the_same() -> None:
    doors = Doors()
    one, same = (doors.circuit("direct") for _ in range(2))
    assert table_key(one) == table_key(same)
    netlist = one.netlist
    longer = tuple(replace(c, r20_ohm=c.r20_ohm * 1.01) for c in netlist.conductors)
    assert table_key(replace(one, netlist=replace(netlist, conductors=longer))) != table_key(one)

    def weaker(ref: str, e: Any) -> Any:
        return replace(e, values={k: v * 0.99 for k, v in e.values.items()})

    assert table_key(replace(one, netlist=changed(netlist, weaker))) != table_key(one)
    # the port's label and what the data cable's copper has stand in no number
    port = netlist.components[0]
    assert port.role == "switch port"
    renamed = replace(netlist, components=(replace(port, title="another port"), *netlist.components[1:]))
    assert table_key(replace(one, netlist=renamed)) == table_key(one)


def test_many_switches_are_moved_a_few_at_a_time_and_all_power_off_is_there() -> None:
    doors = Doors()
    circuit = doors.circuit("relay-external-supply")
    switches = bench_switches(circuit)
    powers = frozenset(n for n, s in enumerate(switches) if s.is_power)
    for most in (64, 12):
        found = live_combinations(circuit, switches, most)
        assert found[0].on == frozenset()
        assert len({c.on for c in found}) == len(found) <= most + 1
        assert powers in {c.on for c in found}
        assert all(frozenset({n}) in {c.on for c in found} for n, s in enumerate(switches) if s.names)


def test_an_ohmmeter_that_would_move_something_is_noticed() -> None:
    netlist = Doors().circuit("relay-module").netlist
    assert linear_to_an_ohmmeter(netlist)

    def faint(_: str, e: Any) -> Any:
        return (
            replace(e, values={**e.values, "v_pull_in_v": 0.1, "v_drop_out_v": 0.05})
            if "v_pull_in_v" in e.values
            else e
        )

    assert not linear_to_an_ohmmeter(changed(netlist, faint))
