"""A door with a fault, and somebody who measures what he is told to: true values within tolerance, the meter's error added."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import inf

import numpy as np

from riserkit.circuits.cases import Cases, SourceLevel, state_table
from riserkit.circuits.errors import CircuitError
from riserkit.circuits.miswirings import Miswiring, MiswiringKind
from riserkit.circuits.netlist import Component, Conductor, Element, ElementKind, Landing, Netlist, Terminal
from riserkit.circuits.overlay import overlaid
from riserkit.circuits.solve import solve_cases
from riserkit.errors import RiserkitError
from riserkit.troubleshooting.asks import every_ask
from riserkit.troubleshooting.changes import COIL_TOLERANCE, LEAST_DRAW, SOURCE_TOLERANCE, SUPPLY_ROLES, Wired, changed
from riserkit.troubleshooting.diagnose import Conclusion, Diagnosis, diagnose
from riserkit.troubleshooting.netlists import FaultNetlists
from riserkit.troubleshooting.observed import Observation
from riserkit.troubleshooting.predict import Predictions
from riserkit.troubleshooting.sights import SIGHTS, read_sight
from riserkit.troubleshooting.suspects import Suspect, netlist_of, single_suspects
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.expected import CONTINUITY_TOLERANCE, LEADS_OHM, METER_SHARE, METER_V
from riserkit.wiring.readings.meter import OHMS, OPEN_OHM, VOLTS, Measurement, reading_shown, set_up, wires_measured
from riserkit.wiring.readings.signals import Signals
from riserkit.wiring.roles import DeviceRole, ElementRole, StateRole

AT = Temperatures(-10.0, 50.0)
METER_OHM = 10e6
_OF_DEVICES = ("reader", "card read", "card not read", "controller", "relay")
"""What nobody calls for: a door that does as it should has them as they are."""
JOINTS_OHM = (2.0, 20.0, 200.0, 2000.0)


@dataclass(frozen=True)
class Truth:
    """A fault that is really there. `explains` says whether a candidate is that fault."""

    words: str
    netlist: Netlist
    explains: Callable[[Suspect], bool]
    dead: frozenset[str] = frozenset()


def truths(circuit: DoorCircuit) -> list[Truth]:
    """Every modelled single fault of a door; a poor joint at each of `JOINTS_OHM`."""
    found = []
    for suspect in single_suspects(circuit):
        if suspect.joint_ohm is None and (netlist := netlist_of(circuit, suspect.ways[0])) is not None:
            found.append(
                Truth(
                    suspect.words,
                    deafened(circuit, suspect, netlist),
                    lambda s, w=suspect.words: s.words == w,
                    suspect.dead,
                )
            )
    wires = {ref for s in single_suspects(circuit) if s.joint_ohm for ref in s.blames}
    for conductor in (c for c in circuit.netlist.conductors if c.ref in wires):
        for ohm in JOINTS_OHM:
            change = Wired(Miswiring(MiswiringKind.POOR_JOINT, (conductor.ref,), r_ohm=ohm))

            def explains(s: Suspect, ref: str = conductor.ref, ohm: float = ohm) -> bool:
                return s.joint_ohm is not None and s.blames == {ref} and s.joint_ohm[0] <= ohm <= s.joint_ohm[1]

            found.append(Truth(f"{ohm:g} ohm in {conductor.ref}", change(circuit.netlist), explains))
    return found


def deafened(circuit: DoorCircuit, suspect: Suspect, netlist: Netlist) -> Netlist:
    """A module that hears nothing never moves."""
    deaf = FaultNetlists(circuit).silent(suspect)
    dead = {n for n in circuit.netlist.elements(ElementRole.MODULE_MESSAGE) if n.partition(".")[0] in deaf}

    def silent(ref: str, e: Element) -> Element:
        return replace(e, values={**e.values, "r_closed_ohm": inf}) if f"{ref}.{e.name}" in dead else e

    return changed(netlist, silent)


def as_it_is(netlist: Netlist, chance: random.Random) -> Netlist:
    """Parts somewhere within their tolerance."""
    shares: dict[bool, float] = {True: chance.random(), False: chance.random()}
    inputs = 1.0 + chance.uniform(-SOURCE_TOLERANCE, SOURCE_TOLERANCE)

    def made(_: str, e: Element) -> Element:
        v = e.values
        if e.kind is ElementKind.COIL:
            by = 1.0 + chance.uniform(-COIL_TOLERANCE, COIL_TOLERANCE)
            return replace(e, values={**v, **{k: v[k] * by for k in ("r_ohm", "r_hold_ohm") if k in v}})
        if e.kind in {ElementKind.CURRENT_LOAD, ElementKind.POWER_LOAD}:
            by = chance.uniform(LEAST_DRAW, 1.0)
            return replace(e, values={**v, **{k: v[k] * by for k in ("i_a", "p_w") if k in v}})
        if e.kind is not ElementKind.SOURCE:
            return e
        if v.get("v_low_v", v["v_nominal_v"]) == v.get("v_high_v", v["v_nominal_v"]):
            # all inputs of a controller hang on one rail
            return replace(e, values={**v, "v_nominal_v": v["v_nominal_v"] * inputs})
        share = shares[e.role in SUPPLY_ROLES]
        ends = {"v_nominal_v": ("v_low_v", "v_high_v"), "float_nominal_v": ("float_low_v", "float_high_v")}
        given = {k: v[low] + share * (v[high] - v[low]) for k, (low, high) in ends.items() if low in v}
        return replace(e, values={**v, **given})

    return changed(netlist, made)


def shown(netlist: Netlist, asked: Measurement, celsius: float) -> float | None:
    """What a meter shows, of 10 megohm on volts; None where the circuit has no steady state."""
    try:
        held = set_up(replace(netlist, conductors=()), asked)
        wires = wires_measured(netlist.conductors, asked)
        if asked.meter == VOLTS and not asked.less:
            inside = Element("own", ElementKind.RESISTOR, "+", "-", {"r_ohm": METER_OHM})
            own = Component("voltmeter", "voltmeter", (Terminal("+"), Terminal("-")), (inside,))
            held = replace(held, components=(*held.components, own))
            ends = (("+", asked.plus), ("-", asked.minus))
            leads = [
                Conductor(f"lead{e}", Landing("voltmeter", e), Landing(*name.split(".")), "", "", 0.0)
                for e, name in ends
            ]
            wires = (*wires, *leads)
        circuit = overlaid(held, [wires], [held.components])
        known = set(circuit.topology.outside)
        state = {name: True for name, on in asked.outside.items() if on and name in known}
        cases = Cases(
            np.zeros(1, dtype=np.int64), np.array([SourceLevel.NOMINAL], dtype=np.int8), np.array([celsius]),
            np.zeros(1, dtype=np.int64), state_table(circuit.topology, [state]), np.zeros((1, 0), dtype=np.int64),
        )  # fmt: skip
        solution = solve_cases(circuit, cases)
    except CircuitError:
        return None
    if not solution.sound[0]:
        return None
    volts = solution.node_v(asked.plus) - solution.node_v(asked.minus)
    return float(reading_shown(asked.meter, volts)[0])


def as_controlled(
    circuit: DoorCircuit, door: Netlist, asked: Measurement, celsius: float
) -> tuple[Netlist, Measurement]:
    """The door and the reading with the controller doing what it does: without power nothing, at a request it releases."""
    netlist = circuit.netlist
    if asked.meter != VOLTS or not circuit.command:
        return door, asked
    off = set(netlist.states(StateRole.NETWORK_POWER_LOST))
    if network_cut(circuit, door):
        asked = replace(asked, outside={**asked.outside, **dict.fromkeys(off, True)})
    loads = [n for n in netlist.elements(ElementRole.CONTROLLER_LOAD) if netlist.element(n).values["p_w"]]
    fed = not any(asked.outside.get(name) for name in off)
    if loads:
        ref, load = loads[0].partition(".")[0], netlist.element(loads[0])
        supply_v = shown(door, replace(asked, plus=f"{ref}.{load.a}", minus=f"{ref}.{load.b}", less=()), celsius)
        fed = (supply_v is None or supply_v >= 1.0) and door.element(loads[0]).values["p_w"] > 0.0
    inputs = {*netlist.elements(ElementRole.DOOR_INPUT, ElementRole.REQUEST_INPUT)}
    if not fed:

        def silent(ref: str, e: Element) -> Element:
            return replace(e, values={**e.values, "r_ohm": inf}) if f"{ref}.{e.name}" in inputs else e

        return changed(door, silent), replace(asked, outside={**asked.outside, circuit.command: False})
    for name in netlist.elements(ElementRole.REQUEST_INPUT) if not netlist.states(StateRole.AUXILIARY_ACTIVE) else ():
        ref, source = name.partition(".")[0], door.element(name)
        locks = asked.outside.get(circuit.command, False) is circuit.locked_state.get(circuit.command, False)
        input_v = shown(door, replace(asked, plus=f"{ref}.{source.a}", minus=f"{ref}.{source.b}", less=()), celsius)
        works = source.values["r_ohm"] < inf
        if locks and works and input_v is not None and input_v <= 0.5 * netlist.element(name).values["v_nominal_v"]:
            released = not asked.outside.get(circuit.command, False)
            return door, replace(asked, outside={**asked.outside, circuit.command: released})
    return door, asked


def network_cut(circuit: DoorCircuit, door: Netlist) -> bool:
    """Whether the PoE cable is off."""
    ports = {c.ref for c in circuit.netlist.devices(DeviceRole.NETWORK_PORT)}
    return any(t.partition(".")[0] in ports for t in Signals(circuit.netlist).lost(door))


def complaint_of(circuit: DoorCircuit, door: Netlist, dead: frozenset[str] = frozenset()) -> list[Observation]:
    """What a caller sees of the fault without a meter; nothing where nobody would call.

    Args:
        circuit: as designed.
        door: as it is.
        dead: what does nothing whatever its supply.
    """
    for words in SIGHTS:
        for said in (words, f"{words} in released", f"{words} in motion") if words.startswith("lock ") else (words,):
            try:
                seen = read_sight(circuit, said)
            except RiserkitError:
                continue
            if words.startswith(_OF_DEVICES):
                continue
            if _are_seen(circuit, door, seen, dead) and not _are_seen(circuit, circuit.netlist, seen):
                return list(seen)
    return []


def _are_seen(
    circuit: DoorCircuit, door: Netlist, seen: Sequence[Observation], dead: frozenset[str] = frozenset()
) -> bool:
    """All of them, of alternatives one."""
    held = [(one.one_of, _holds(circuit, door, one, dead)) for one in seen]
    either = {name for name, _ in held if name}
    return all(holds for name, holds in held if not name) and either <= {name for name, holds in held if holds}


def _holds(circuit: DoorCircuit, door: Netlist, one: Observation, dead: frozenset[str] = frozenset()) -> bool:
    if one.device in dead or (one.device and _is_deaf_controller(circuit, door, one.device)):
        return not one.works
    if one.by_data and any(t.startswith(f"{one.device}.") for t in Signals(circuit.netlist).lost(door)):
        return not one.works
    if one.asked is None:  # a controller on its PoE cable, which has power and data: it answers
        return bool(one.works)
    value = shown(*as_controlled(circuit, door, one.asked, 20.0), 20.0)
    if value is None:
        return False
    value = abs(value) if one.magnitude else value
    return one.low <= value <= one.high


def _is_deaf_controller(circuit: DoorCircuit, door: Netlist, device: str) -> bool:
    """Whether the network does not reach it: by its socket, not by the terminals of its bus or link."""
    sockets = {f"{device}.{t.name}" for t in circuit.netlist.component(device).terminals if t.name.startswith("J")}
    is_controller = circuit.netlist.component(device).role == DeviceRole.CONTROLLER
    return is_controller and bool(sockets & set(Signals(circuit.netlist).lost(door)))


def read(asked: Measurement, value: float, chance: random.Random) -> Observation:
    """What is written down: the meter's error in it, and the band that it is given."""
    if asked.meter == VOLTS:
        value += chance.uniform(-1.0, 1.0) * (METER_V + METER_SHARE * abs(value)) * 0.95
        error = METER_V + METER_SHARE * abs(value)
        return Observation(f"{value:.2f} V", asked, value - error, value + error)
    assert asked.meter == OHMS
    if value > OPEN_OHM:
        return Observation("open", asked, OPEN_OHM / 10.0, float("inf"))
    value += chance.uniform(-1.0, 1.0) * (CONTINUITY_TOLERANCE * value + LEADS_OHM) * 0.85
    error = CONTINUITY_TOLERANCE * abs(value) + LEADS_OHM
    return Observation(f"{value:.1f} ohm", asked, max(0.0, value - error), value + error)


@dataclass(frozen=True)
class Search:
    """How a search went: readings taken, what was left, whether the fault was ever ruled out, and what each step left open."""

    truth: str
    readings: int
    looks: int
    last: Diagnosis
    excluded: bool
    unreadable: bool = False
    true: Callable[[Suspect], bool] = lambda _: False
    steps: tuple[str, ...] = ()

    @property
    def share(self) -> float:
        """Of the true fault and of what no reading tells from it."""
        alike = {c.alike for c in self.last.candidates if self.true(c.suspect)}
        return sum(c.share for c in self.last.candidates if c.alike in alike)

    @property
    def first(self) -> bool:
        """Whether the likeliest is the true fault or one that no reading tells from it."""
        alike = {c.alike for c in self.last.candidates if self.true(c.suspect)}
        return bool(self.last.candidates) and self.last.candidates[0].alike in alike


def random_reading(circuit: DoorCircuit, chance: random.Random) -> Callable[[Diagnosis], Measurement | None]:
    """Readings in any order, until they are all taken."""
    left = [ask.asked for ask in every_ask(circuit) if ask.asked.meter == VOLTS and not ask.asked.lifts]
    chance.shuffle(left)
    return lambda _: left.pop() if left else None


def advised(found: Diagnosis) -> Measurement | None:
    """The reading that the diagnosis advises."""
    return found.next.ask.asked if found.next else None


def follow(
    circuit: DoorCircuit,
    kept: Predictions,
    truth: Truth,
    door: Netlist,
    chance: random.Random,
    complaint: Sequence[Observation] = (),
    *,
    choose: Callable[[Diagnosis], Measurement | None] = advised,
    most: int = 15,
    enough: int = 0,
) -> Search:
    """Take readings, one after the other, until nothing more can be told apart or so few faults are left."""
    celsius = chance.uniform(AT.coldest_c, AT.hottest_c)
    observed = list(complaint)
    found, taken = diagnose(circuit, observed, AT, kept), 0
    looked: set[str] = set()
    landed = not_as_listed(circuit, truth.netlist, random.Random(f"{truth.words} {celsius}"))
    steps: list[str] = []

    def ended(*, excluded: bool = False, unreadable: bool = False) -> Search:
        return Search(truth.words, taken, len(looked), found, excluded, unreadable, truth.explains, tuple(steps))

    while taken < most and not (enough and 0 < len(found.candidates) <= enough):
        if found.look is not None and found.look.answers[0] not in looked:
            looked.add(found.look.answers[0])
            words = f"neither {' nor '.join(found.look.answers)}"
            if seen := seen_of(circuit, door, found.look.answers, landed, truth.dead):
                observed += seen
                found, words = (
                    diagnose(circuit, observed, AT, kept),
                    ", ".join(dict.fromkeys(one.words for one in seen)),
                )
        else:
            asked = choose(found)
            if asked is None:
                break
            value = shown(*as_controlled(circuit, door, asked, celsius), celsius)
            taken += 1
            if value is None:
                # Nothing steady to be read: whoever measures goes on with another reading, which here is the end.
                return ended(unreadable=True)
            observed.append(read(asked, value, chance))
            found = diagnose(circuit, observed, AT, kept)
            words = f"{asked.meter} {asked.plus} to {asked.minus} {sorted(asked.on)}: {observed[-1].words}"
        steps.append(_step(words, found))
        if wrong(found, truth):
            return ended(excluded=True)
    return ended()


def _step(words: str, found: Diagnosis) -> str:
    """What was read or seen, and how many faults in how many groups are left."""
    return f"{words}: {len(found.candidates)} left in {len({c.alike for c in found.candidates})} groups"


def wrong(found: Diagnosis, truth: Truth) -> bool:
    """Whether the fault that is there has been ruled out."""
    if found.verdict is Conclusion.SINGLE:
        return not any(truth.explains(c.suspect) for c in found.candidates)
    return found.verdict is not Conclusion.HEALTHY


def seen_of(
    circuit: DoorCircuit,
    door: Netlist,
    answers: Sequence[str],
    landed: frozenset[str],
    dead: frozenset[str] = frozenset(),
) -> list[Observation]:
    """Which of some things is seen at the door, of terminals all; nothing where none plainly is.

    Args:
        circuit: as designed.
        door: as it is.
        answers: what may be seen.
        landed: terminals at which wires are not as listed.
        dead: what does nothing whatever its supply.
    """
    found: list[Observation] = []
    for words in answers:
        seen = read_sight(circuit, words)
        if (place := seen[0].landed_at) and seen[0].as_listed is not any(
            place in (name, name.partition(".")[0]) for name in landed
        ):
            found += seen
        elif not place and _are_seen(circuit, door, seen, dead):
            return list(seen)
    return found


def not_as_listed(circuit: DoorCircuit, door: Netlist, chance: random.Random) -> frozenset[str]:
    """Terminals at which whoever looks sees other wires than the landing list has, read off the door as it is.

    A wire of a cable that is open is off at either end, or broken where nobody sees it; a contact that does not open sticks, or has a
    link across it. What touches inside a cable is not seen.
    """
    usual, real = ({c.ref: c for c in netlist.conductors} for netlist in (circuit.netlist, door))
    found: set[str] = set()
    for ref in sorted(usual.keys() | real.keys()):
        ends, are = (frozenset(map(str, (c.a, c.b))) if c else frozenset() for c in (usual.get(ref), real.get(ref)))
        if ref not in real and usual[ref].cable:
            found |= chance.choice([frozenset(), *(frozenset({str(end)}) for end in (usual[ref].a, usual[ref].b))])
        elif "~" not in ref:
            found |= ends ^ are
        elif not any("._" in end for end in are) and any(
            {f"{c.ref}.{e.a}", f"{c.ref}.{e.b}"} == are for c, e in _contacts(circuit.netlist)
        ):
            found |= chance.choice([frozenset(), are])
    for component, e in _contacts(circuit.netlist):
        other = door.element(f"{component.ref}.{e.name}")
        if other.normally_closed is not e.normally_closed and e.control != circuit.command:
            # at the terminal beside, or a device of the other kind; what a controller is set to shows nowhere
            ends = {f"{component.ref}.{name}" for name in (e.a, e.b)}
            named = {name for name in ends if name.endswith(("NO", "NC"))}
            found |= named or chance.choice([set(), ends])
    return frozenset(found)


def _contacts(netlist: Netlist) -> list[tuple[Component, Element]]:
    return [(c, e) for c in netlist.components for e in c.elements if e.kind is ElementKind.CONTACT]
