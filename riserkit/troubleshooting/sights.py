"""What is seen at a door without a meter, as ranges that a circuit has to meet."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Final

from riserkit.circuits.netlist import Netlist
from riserkit.errors import RiserkitError
from riserkit.quantities.grouping import grouped
from riserkit.troubleshooting.controller import asks_to_exit
from riserkit.troubleshooting.landings import landing_places
from riserkit.troubleshooting.observed import Observation, measurement
from riserkit.troubleshooting.states import IDLE, RELEASED, DoorState, door_states, read_state
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.ends import input_ends, landed
from riserkit.wiring.readings.expected import METER_V
from riserkit.wiring.readings.meter import VOLTS, measure
from riserkit.wiring.roles import DeviceRole, ElementRole

MOTION: Final = "motion"
PRESSED: Final = "release pressed"

SIGHTS: Final = {
    "lock locked": "lock stays locked in the state said",
    "lock released": "lock is free in the state said",
    "card no effect": "the reader accepts a card, the door stays locked",
    "REX no effect": "somebody at the REX sensor or exit button, the door stays locked",
    "release no effect": "manual release pressed, lock stays energised",
    "REX not noticed": "the controller reports no request while somebody is at the REX sensor or exit button",
    "REX noticed": "the controller reports the request of somebody at the REX sensor or exit button",
    "REX always on": "the controller reports a request to exit with nobody near",
    "REX quiet": "the controller reports no request to exit with nobody near",
    "door shows open": "the controller reports the door open; it is closed",
    "closed door shows closed": "the controller reports the closed door closed",
    "door shows closed": "the controller reports the door closed; it is open",
    "open door shows open": "the controller reports the open door open",
    "relay on": "the relay module is energised in the state said: its light is on, or it clicks over",
    "relay off": "the relay module is not energised in the state said",
    "reader dark": "no light at a reader",
    "reader lit": "light at a reader",
    "card read": "the controller reports a card that is held to a reader",
    "card not read": "the controller answers and reports nothing of a card that is held to a reader",
    "controller offline": "the controller does not answer",
    "controller online": "the controller answers",
    "as listed": "the wires at the device said are where the landing list has them, none missing, no link added",
    "not as listed": "at the terminal said a wire is missing, there is one of another terminal, or a link that is not listed",
}
"""What can be seen without a meter: the words to state, and what they mean."""

_OF_ONE: Final = {
    "lock locked": "lock {} stays locked in the state said",
    "lock released": "lock {} is free in the state said",
    "card no effect": "the reader accepts a card, lock {} stays locked",
    "REX no effect": "somebody at {}, the door stays locked",
    "release no effect": "manual release {} pressed, lock stays energised",
    "REX not noticed": "the controller reports no request while somebody is at {}",
    "REX noticed": "the controller reports the request of somebody at {}",
    "door shows closed": "the controller reports the door closed; only the leaf of {} is open",
    "open door shows open": "the controller reports the door open; only the leaf of {} is open",
    "relay on": "relay module {} is energised in the state said: its light is on, or it clicks over",
    "relay off": "relay module {} is not energised in the state said",
    "reader dark": "no light at reader {}",
    "reader lit": "light at reader {}",
    "card read": "the controller reports a card that is held to reader {}",
    "card not read": "the controller answers and reports nothing of a card that is held to reader {}",
    "as listed": "the wires at {} are where the landing list has them, none missing, no link added",
    "not as listed": "at {} a wire is missing, there is one of another terminal, or a link that is not listed",
}
"""What the same means of one of several devices, by its designation: `door shows closed at B4`."""

_WHILE: Final[Mapping[str, str]] = {
    IDLE: "with the door idle",
    RELEASED: "while the controller releases the door",
    MOTION: "with somebody at {}",
    PRESSED: "with {} pressed",
}

_ALSO: Final[Mapping[str, str]] = {
    "door stays locked": "lock locked",
    "reader beeps door stays locked": "card no effect",
    "reader shows green door stays locked": "card no effect",
    "reader beeps lock does not release": "card no effect",
    "card accepted door stays locked": "card no effect",
    "card has no effect": "card no effect",
    "rex has no effect": "REX no effect",
    "exit button has no effect": "REX no effect",
    "exit button no effect": "REX no effect",
    "release has no effect": "release no effect",
    "door never locks": "lock released",
    "door does not lock": "lock released",
    "door stays unlocked": "lock released",
    "lock does not hold": "lock released",
    "door shows open all the time": "door shows open",
    "dead controller": "controller offline",
    "controller dead": "controller offline",
    "reader beeps": "reader lit",  # it may do so by itself: that it has power is all that is sure
    "dead reader": "reader dark",
    "reader has no light": "reader dark",
}
"""Other words for the same, in small letters."""

_INPUTS: Final = {
    "REX not noticed": (ElementRole.REQUEST_INPUT, MOTION, True),
    "REX noticed": (ElementRole.REQUEST_INPUT, MOTION, False),
    "REX always on": (ElementRole.REQUEST_INPUT, IDLE, False),
    "REX quiet": (ElementRole.REQUEST_INPUT, IDLE, True),
    "door shows open": (ElementRole.DOOR_INPUT, IDLE, False),
    "closed door shows closed": (ElementRole.DOOR_INPUT, IDLE, True),
    "door shows closed": (ElementRole.DOOR_INPUT, "door open", True),
    "open door shows open": (ElementRole.DOOR_INPUT, "door open", False),
}
_STAYS_LOCKED: Final = {"release no effect": PRESSED, "REX no effect": MOTION}
_DEVICES: Final = {
    "reader dark": (DeviceRole.READER, False), "reader lit": (DeviceRole.READER, True),
    "controller offline": (DeviceRole.CONTROLLER, False), "controller online": (DeviceRole.CONTROLLER, True),
}  # fmt: skip
_CARD: Final = {"card read": True, "card not read": False}
_IN_A_STATE: Final = ("lock ", "relay ")
_LANDED: Final = {"as listed": True, "not as listed": False}
_DRAWING: Final = (ElementRole.READER_LOAD, ElementRole.CONTROLLER_LOAD)
_AT: Final = re.compile(r"\s+at\s+(?P<ref>\S+)", re.IGNORECASE)
_LEAST_SUPPLY_V: Final = 6.0
_HALF: Final = 0.5
_ROOM: Final = Temperatures(20.0, 20.0)


def read_sight(circuit: DoorCircuit, text: str) -> tuple[Observation, ...]:
    """Something seen, such as `REX no effect`, `lock locked in released`, `reader dark at B3`.

    Where a door has several devices of the kind and none is named, it is seen of at least one of them: whoever says that the
    door shows closed while it is open may have opened either leaf.

    Raises:
        RiserkitError: it is none of `SIGHTS`, or this door has nothing of the kind.
    """
    plain, ref = _device_named(text)
    words, _, said = plain.partition(" in ")
    wanted = " ".join(words.lower().replace(",", " ").split())
    name = next((n for n in SIGHTS if n.lower() == wanted), _ALSO.get(wanted, ""))
    if not name:
        raise RiserkitError(f"{text!r} is not known; expected {', '.join(SIGHTS)}")
    if said and not name.startswith(_IN_A_STATE):
        raise RiserkitError(f"{name!r} says its own state; leave out {said!r}")
    if ref and name not in _OF_ONE:
        raise RiserkitError(f"{name!r} is of the whole door; leave out 'at {ref}'")
    if name in _LANDED:
        place = _landing_place(circuit, name, ref, text)
        return (Observation(text, None, seen=True, landed_at=place, as_listed=_LANDED[name]),)
    if name == "REX no effect" and not _lets_out(circuit, text):
        # the sensor only keeps the alarm quiet here: what has no effect is not noticed
        name = "REX not noticed"
    sure, either = _seen(circuit, name, said, text)
    if ref:
        had = tuple(dict.fromkeys(either))
        either = {one: seen for one, seen in either.items() if one.lower() == ref.lower()}
        if not either:
            raise RiserkitError(f"{text!r}: nothing of the kind is {ref} at this door; expected {', '.join(had)}")
    alternatives = [one for each in either.values() for one in each]
    one_of = text if len(alternatives) > 1 else ""
    return tuple(replace(one, seen=True) for one in (*sure, *(replace(one, one_of=one_of) for one in alternatives)))


def _device_named(text: str) -> tuple[str, str]:
    """The text without the device that it names, and that device; empty where it names none."""
    found = _AT.search(text)
    return (f"{text[: found.start()]}{text[found.end() :]}", found["ref"]) if found else (text, "")


def _landing_place(circuit: DoorCircuit, name: str, ref: str, text: str) -> str:
    """The device or terminal at which somebody looked, as designated."""
    places = landing_places(circuit.netlist)
    if not ref:
        raise RiserkitError(f"{text!r} says of no device; add which, such as '{name} at {next(iter(places))}'")
    by_lower = {one.lower(): one for device, ends in places.items() for one in (device, *ends)}
    if ref.lower() not in by_lower:
        own = next((ends for device, ends in places.items() if ref.lower().startswith(f"{device.lower()}.")), ())
        raise RiserkitError(f"{text!r}: no wire is landed at {ref}; expected {', '.join(own or places)}")
    return by_lower[ref.lower()]


def sight_words(text: str) -> str:
    """What something seen means, in words.

    Examples:
        >>> sight_words("lock locked in motion")
        'lock stays locked with somebody at the sensor'
        >>> sight_words("relay off in release pressed")
        'the relay module is not energised with the manual release pressed'
        >>> sight_words("REX quiet")
        'the controller reports no request to exit with nobody near'
        >>> sight_words("lock released at M2 in idle")
        'lock M2 is free with the door idle'
        >>> sight_words("as listed at K1")
        'the wires at K1 are where the landing list has them, none missing, no link added'
    """
    plain, ref = _device_named(text)
    name, _, state = plain.partition(" in ")
    meant = _OF_ONE[name].format(ref) if ref and name in _OF_ONE else SIGHTS.get(name, text)
    if not state or " in the state said" not in meant:
        return meant
    kind = next((words for words in _WHILE if state.startswith(words)), "")
    device = state[len(kind) :].strip() if kind else ""
    when = _WHILE.get(kind, f"in the state {state}").format(
        device or ("the sensor" if kind == MOTION else "the manual release")
    )
    return meant.replace("in the state said", when)


def reports(circuit: DoorCircuit) -> Iterator[tuple[str, str]]:
    """What a controller reports of each device at its inputs, as it should be and otherwise, each as `read_sight` has it."""
    for usual, other in (
        ("closed door shows closed", "door shows open"), ("open door shows open", "door shows closed"),
        ("REX quiet", "REX always on"), ("REX noticed", "REX not noticed"),
    ):  # fmt: skip
        wired_to, state, _ = _INPUTS[usual]
        if _is_wired(circuit.netlist, wired_to):
            for at in at_each([_moved(circuit, one) for one in _named(circuit, state)]):
                yield f"{usual}{at}", f"{other}{at}"


def at_each(refs: Sequence[str]) -> list[str]:
    """What names each of several devices; a single one goes without."""
    return [""] if len(refs) == 1 else [f" at {ref}" for ref in refs]


def _seen(
    circuit: DoorCircuit, name: str, said: str, text: str
) -> tuple[Sequence[Observation], Mapping[str, Sequence[Observation]]]:
    """What is sure to be seen with it, and what is seen of any one of several devices, by designation."""
    if name.startswith("lock "):
        return (), _locks(circuit, read_state(circuit, said), locked=name == "lock locked", text=text)
    if name.startswith("relay "):
        return (), _relays(circuit, read_state(circuit, said), on=name == "relay on", text=text)
    if name in _CARD or name in _INPUTS:
        # one that reports anything has power and data
        online = _devices(circuit, DeviceRole.CONTROLLER, works=True, text=text) if circuit.command else {}
        return [one for each in online.values() for one in each], _reported(circuit, name, text)
    if name == "card no effect":
        return _powered(circuit, text), _locks(circuit, _states(circuit, RELEASED, text)[0], locked=True, text=text)
    if name in _STAYS_LOCKED:
        return (), {
            _moved(circuit, state): [
                one for each in _locks(circuit, state, locked=True, text=text).values() for one in each
            ]
            for state in _states(circuit, _STAYS_LOCKED[name], text)
        }
    role_seen, works = _DEVICES[name]
    return (), _devices(circuit, role_seen, works=works, text=text)


def _powered(circuit: DoorCircuit, text: str) -> list[Observation]:
    """A controller that accepts a card has power. One with a supply of its own need not be on the network."""
    found = [one for each in _devices(circuit, DeviceRole.CONTROLLER, works=True, text=text).values() for one in each]
    return [one if one.asked is None else replace(one, device="", works=None) for one in found]


def _reported(circuit: DoorCircuit, name: str, text: str) -> Mapping[str, Sequence[Observation]]:
    """What the controller reports of each device: a card held to a reader, or an input."""
    if name in _CARD:
        readers = _devices(circuit, DeviceRole.READER, works=_CARD[name], text=text)
        return {ref: [replace(one, by_data=True) for one in each] for ref, each in readers.items()}
    role, state, as_idle = _INPUTS[name]
    return {
        _moved(circuit, one): [_input(circuit, role, one, text, as_idle=as_idle)]
        for one in _states(circuit, state, text)
    }


def _moved(circuit: DoorCircuit, state: DoorState) -> str:
    """The device that is moved in a state, by designation; empty when idle."""
    moved = (name for name, on in state.outside.items() if on is not circuit.locked_state.get(name, False))
    return next(moved, "").partition(".")[0]


def _named(circuit: DoorCircuit, name: str) -> list[DoorState]:
    """The states of one kind, such as `motion B1` and `motion B2`."""
    return [state for words, state in door_states(circuit).items() if words == name or words.startswith(f"{name} ")]


def _states(circuit: DoorCircuit, name: str, text: str) -> list[DoorState]:
    found = _named(circuit, name)
    if not found:
        raise RiserkitError(f"{text!r}: this door has no state {name!r}; it has {', '.join(door_states(circuit))}")
    return found


def _lets_out(circuit: DoorCircuit, text: str) -> bool:
    """Whether a healthy door releases for whoever is at the sensor: by the controller, or by the sensor's own contact."""
    netlist = circuit.netlist
    if circuit.command and asks_to_exit(netlist) and _is_wired(netlist, ElementRole.REQUEST_INPUT):
        return True
    coil = netlist.ends(circuit.coil(circuit.locks[0]))
    states = [door_states(circuit)[IDLE], *_states(circuit, MOTION, text)]
    idle, *moved = measure([netlist], [measurement(VOLTS, *coil, state) for state in states], _ROOM)
    usual_v = abs(float(idle.nominal[0]))
    return any(abs(abs(float(one.nominal[0])) - usual_v) > _HALF * usual_v for one in moved)


def _locks(circuit: DoorCircuit, state: DoorState, *, locked: bool, text: str) -> dict[str, list[Observation]]:
    """A lock that is energised has at least its drop-out voltage; one that is not has less than its pull-in."""
    energised = locked is circuit.fail_safe
    return {ref: [_coil(circuit, circuit.coil(ref), state, text, energised=energised)] for ref in circuit.locks}


def _relays(circuit: DoorCircuit, state: DoorState, *, on: bool, text: str) -> dict[str, list[Observation]]:
    names = circuit.netlist.elements(ElementRole.MODULE_COIL)
    if not names:
        raise RiserkitError(f"{text!r}: this door has no relay module")
    return grouped((name.partition(".")[0], _coil(circuit, name, state, text, energised=on)) for name in names)


def _coil(circuit: DoorCircuit, name: str, state: DoorState, text: str, *, energised: bool) -> Observation:
    asked = measurement(VOLTS, *circuit.netlist.ends(name), state)
    low, high = coil_range_v(circuit, name, energised=energised)
    return Observation(text, asked, low, high, magnitude=True, device=name.partition(".")[0], works=energised)


def coil_range_v(circuit: DoorCircuit, name: str, *, energised: bool) -> tuple[float, float]:
    """Least and most voltage of a coil, `component.element`, that is seen to be energised, or not to be."""
    values = circuit.netlist.element(name).values
    pull_in, drop_out = values.get("v_pull_in_v", math.nan), values.get("v_drop_out_v", math.nan)
    # where nobody states them: a coil without voltage does not hold, and anything may be too little to pull in
    least = METER_V if math.isnan(drop_out) else drop_out
    most = math.inf if math.isnan(pull_in) else pull_in
    return (least, math.inf) if energised else (0.0, most)


def _is_wired(netlist: Netlist, role: ElementRole) -> bool:
    return bool(netlist.elements(role)) and landed(netlist, input_ends(netlist, role)[0])


def _input(circuit: DoorCircuit, role: ElementRole, state: DoorState, text: str, *, as_idle: bool) -> Observation:
    """An input reads open above half of its own voltage, closed below (common practice, no source).

    It reads in this state as it should with the door idle, or the other way.
    """
    netlist = circuit.netlist
    if not _is_wired(netlist, role):
        raise RiserkitError(f"{text!r}: nothing is wired to that input at this door")
    names, ends = netlist.elements(role), input_ends(netlist, role)
    half_v = _HALF * netlist.element(names[0]).values["v_nominal_v"]
    usual_v = _usual_v(circuit, role)
    low, high = (-math.inf, half_v) if (usual_v < half_v) is as_idle else (half_v, math.inf)
    return Observation(text, measurement(VOLTS, *ends, state), low, high)


@lru_cache(maxsize=8)
def _usual_v(circuit: DoorCircuit, role: ElementRole) -> float:
    """At the input with the door idle."""
    idle = measurement(VOLTS, *input_ends(circuit.netlist, role), door_states(circuit)[IDLE])
    return float(measure([circuit.netlist], [idle], _ROOM)[0].nominal[0])


def _devices(circuit: DoorCircuit, role: DeviceRole, *, works: bool, text: str) -> dict[str, list[Observation]]:
    """A device works from half of its usual 12 V on (common practice, no source)."""
    devices = circuit.netlist.devices(role)
    if not devices:
        raise RiserkitError(f"{text!r}: this door has no {role}")
    idle = door_states(circuit)[IDLE]
    found = {}
    for component in devices:
        load = next((e for e in component.elements if e.role in _DRAWING), None)
        seen = Observation(text, None, device=component.ref, works=works)
        if load is not None:
            asked = measurement(VOLTS, f"{component.ref}.{load.a}", f"{component.ref}.{load.b}", idle)
            low, high = (_LEAST_SUPPLY_V, math.inf) if works else (-math.inf, _LEAST_SUPPLY_V)
            seen = replace(seen, asked=asked, low=low, high=high)
        found[component.ref] = [seen]
    return found
