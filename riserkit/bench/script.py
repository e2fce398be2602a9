"""A table as the text of a script for a browser. What a number means is said where it is written, and read so by `bench.js`."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

import numpy as np

from riserkit.bench.ohms import TIE_UP
from riserkit.bench.packed import Whole, packed, rows_once
from riserkit.bench.switches import BenchSwitch
from riserkit.bench.table import BenchTable
from riserkit.circuits.elimination import FloatArray
from riserkit.troubleshooting.asks import effort_at, supply_returns
from riserkit.troubleshooting.landings import other_landings
from riserkit.troubleshooting.metered import MeterPattern
from riserkit.troubleshooting.states import RELEASED, door_states
from riserkit.wiring.readings.ends import input_ends, landed
from riserkit.wiring.readings.meter import OPEN_OHM
from riserkit.wiring.roles import DeviceRole, ElementRole

VOLT_UNIT: Final = 1e-4
AMPERE_UNIT: Final = 1e-4
_SHARE_UNIT: Final = 1e-5
_UNSTEADY: Final = 0
OPEN_CODE: Final = 9999
UNSOLVED_CODE: Final = 9998
MOST_BYTES: Final = 1_500_000
"""Of one topology's script."""


def bench_script(table: BenchTable, topology: str, more: Mapping[str, object]) -> str:
    """The script of one topology.

    Args:
        table: solved.
        topology: its name.
        more: the picture, lessons and whatever else is the same for all its doors.
    """
    told = {**_words(table), **more, "live": packed(_live(table)), "ohms": _ohms(table)}
    text = json.dumps(told, ensure_ascii=True, separators=(",", ":"), sort_keys=True)
    return f"(window.riserkitBench ??= {{}})[{json.dumps(topology)}] = {text};\n"


def _words(table: BenchTable) -> dict[str, object]:
    circuit, live = table.circuit, table.live
    netlist = circuit.netlist
    return {
        "terminals": list(live.terminals),
        "devices": [[c.ref, c.title, c.place, c.role, effort_at(c)] for c in netlist.components],
        "returns": [live.terminals.index(end) for end in supply_returns(circuit)],
        "wires": [[c.ref, str(c.a), str(c.b), c.colour, c.cable, c.gauge] for c in netlist.conductors],
        "switches": [[s.key, s.words, s.role, _said(table, s)] for s in table.switches],
        "combinations": [sorted(c.on) for c in table.combinations],
        "dead": [sorted(c.on) for c in table.dead],
        "faults": [[f.kind, f.words, sorted(f.blames), round(f.weight, 4)] for f in table.faults],
        "landings": list(_landings(table)),
        "locks": list(_locks(table)),
        "failSafe": circuit.fail_safe,
        "commanded": bool(circuit.command),
        "relays": list(live.relay_names),
        "relayEnds": [_relay_words(table, name) for name in live.relay_names],
        "sources": [_source(table, name) for name in live.sources],
        "readers": [c.ref for c in netlist.devices(DeviceRole.READER)],
        "inputs": list(_inputs(table)),
        "auxiliary": any(e.role == ElementRole.AUXILIARY_CONTACT for c in netlist.components for e in c.elements),
    }


def _said(table: BenchTable, switch: BenchSwitch) -> str:
    """The state as `riserkit diagnose` has it."""
    if not switch.names:
        return RELEASED
    idle = table.circuit.locked_state
    for words, state in door_states(table.circuit).items():
        if not state.dead and {n for n, on in state.outside.items() if on != idle.get(n, False)} == set(switch.names):
            return words
    return switch.words.lower()


def _landings(table: BenchTable) -> Iterator[list[object]]:
    """Of each fault that shows where wires are landed its place, and terminals: where it is seen, and where it may be."""
    for n, fault in enumerate(table.faults):
        shown = other_landings(table.circuit.netlist, fault.way)
        sure, perhaps = (sorted(map(table.terminal_of.__getitem__, names)) for names in (shown.surely, shown.perhaps))
        if sure or perhaps:
            yield [n, sure, perhaps]


def _locks(table: BenchTable) -> Iterator[list[object]]:
    for ref in table.circuit.locks:
        values = table.circuit.netlist.element(table.circuit.coil(ref)).values
        pull_in, drop_out = values.get("v_pull_in_v", float("nan")), values.get("v_drop_out_v", float("nan"))
        yield [ref, None if np.isnan(pull_in) else pull_in, None if np.isnan(drop_out) else drop_out]


_TRIGGERS: Final = (ElementRole.MODULE_TRIGGER, ElementRole.TRIGGER_INPUT)


def _relay_words(table: BenchTable, name: str) -> list[str]:
    """Of a relay, or of an input that is triggered: what it is, moved and at rest."""
    netlist = table.circuit.netlist
    component = netlist.component(name.partition(".")[0])
    if netlist.element(name).role in _TRIGGERS:
        return [f"{component.ref} {component.title}: trigger input {how}" for how in ("on", "off")]
    return [f"{component.ref} {component.title}: relay {how}" for how in ("energised", "at rest")]


def _source(table: BenchTable, name: str) -> list[object]:
    values = table.circuit.netlist.element(name).values
    component = table.circuit.netlist.component(name.partition(".")[0])
    limit_a = values.get("i_limit_a", float("inf"))
    return [component.ref, component.title, limit_a if np.isfinite(limit_a) else None]


def _inputs(table: BenchTable) -> Iterator[list[object] | None]:
    """Terminals of the door input and of the request input, with what they read in an idle healthy door; None where not wired."""
    netlist = table.circuit.netlist
    for k, role in enumerate((ElementRole.DOOR_INPUT, ElementRole.REQUEST_INPUT)):
        if not netlist.elements(role) or not landed(netlist, input_ends(netlist, role)[0]):
            yield None
        else:
            yield [input_ends(netlist, role)[0], bool(table.live.closed[0, 0, 0, k])]


def _live(table: BenchTable) -> dict[str, Whole]:
    """Every case as the number of a row, and the rows: volts and amperes in units of 0.1 mV and 0.1 mA, then facts."""
    live = table.live
    count = live.v[..., 0].size
    columns = {
        "v": _whole(live.v, VOLT_UNIT),
        "a": _whole(live.a, AMPERE_UNIT),
        "lock": _whole(live.lock_v, VOLT_UNIT),
        "energised": live.energised,
        "relays": live.relays,
        "closed": live.closed,
        "readers": live.reader_on,
        "state": np.stack([live.decides, live.online, live.trouble, live.over, live.pattern, live.drift], axis=-1),
    }
    shaped = {name: array.reshape(count, -1).astype(np.int32) for name, array in columns.items()}
    rows, place = rows_once(np.concatenate(list(shaped.values()), axis=1))
    cuts = np.cumsum([array.shape[1] for array in shaped.values()])[:-1]
    parts = dict(zip(shaped, np.split(rows, cuts, axis=1), strict=True))
    patterns = live.patterns
    return {
        "row": place.reshape(-1, 1), **parts,
        "part": np.array([p.part for p in patterns.found]),
        "island": np.array([_islands(p) for p in patterns.found]),
        "share": shares_told(patterns.found),
        "drift": np.array([[n, a, b, round(v / VOLT_UNIT)] for n, drift in enumerate(patterns.drifts)
                           for (a, b), v in drift.items()], dtype=np.int32).reshape(-1, 4),
    }  # fmt: skip


def _whole(values: FloatArray, unit: float) -> Whole:
    found: Whole = np.round(np.nan_to_num(values, nan=_UNSTEADY) / unit).astype(np.int32)
    return found


def _islands(pattern: MeterPattern) -> Whole:
    """The island of each terminal, by the first part of it."""
    first = (pattern.share > 0.0).argmax(axis=1)
    found: Whole = first[pattern.part]
    return found


def shares_told(patterns: Sequence[MeterPattern]) -> Whole:
    """Parts between which the meter leaves noticeably less than all: pattern, both parts and what it leaves, a row each."""
    kept: list[Whole] = [np.empty((0, 4), dtype=np.int32)]
    by_size: dict[int, list[int]] = {}
    for number, pattern in enumerate(patterns):
        by_size.setdefault(len(pattern.share), []).append(number)
    for numbers in by_size.values():
        share = np.array([patterns[number].share for number in numbers])
        told = np.triu((share > 0.0) & (share < 1.0 - _SHARE_UNIT / 2.0), 1)
        which, a, b = np.nonzero(told)
        left = np.round(share[told] / _SHARE_UNIT)
        kept.append(np.stack([np.array(numbers)[which], a, b, left], axis=1).astype(np.int32))
    rows = np.concatenate(kept)
    in_order: Whole = rows[np.argsort(rows[:, 0], kind="stable")]
    return in_order


def _ohms(table: BenchTable) -> dict[str, object] | None:
    if table.ohms is None:
        return None
    codes = ohm_codes(table.ohms).reshape(-1, table.ohms.shape[-1])
    rows, place = rows_once(codes)
    return packed({"row": place.reshape(-1, 1), "code": rows})


def ohm_codes(ohms: FloatArray) -> Whole:
    """What a meter of three digits shows: 1000 times the range plus the digits; `OPEN_CODE` for open.

    Range 0 is 0.0 to 99.9 ohm, range 1 100 to 999 ohm, range 2 1.00 to 9.99 kohm, and so on.

    Examples:
        >>> ohm_codes(np.array([34.2857, 480.0, 4700.0, np.inf])).tolist()
        [343, 1480, 2470, 9999]
        >>> ohm_codes(np.nextafter(0.05, [0.0, 1.0])).tolist()
        [1, 1]
    """
    value = np.nan_to_num(ohms, nan=0.0, posinf=0.0) * TIE_UP
    found = np.zeros(value.shape, dtype=np.int32)
    for k, unit in enumerate((0.1, 1.0, 10.0, 100.0, 1000.0)):
        digits = np.round(value / unit).astype(np.int64)
        found = np.where((value >= 999.5 * unit / 10.0) & (k > 0) | (k == 0), k * 1000 + np.minimum(digits, 999), found)
    found = np.where(np.isposinf(ohms) | (value >= OPEN_OHM), OPEN_CODE, found)
    coded: Whole = np.where(np.isnan(ohms), UNSOLVED_CODE, found).astype(np.int32)
    return coded
