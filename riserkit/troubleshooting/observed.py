"""What was read and what was seen at a door, as ranges that a circuit has to meet."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from riserkit.circuits.netlist import Netlist
from riserkit.errors import RiserkitError
from riserkit.troubleshooting.states import IDLE, RELEASED, DoorState, door_states, read_state
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.ends import input_ends, landed
from riserkit.wiring.readings.expected import CONTINUITY_TOLERANCE, LEADS_OHM, METER_SHARE, METER_V
from riserkit.wiring.readings.meter import DIODE, OHMS, OPEN_OHM, OPEN_V, VOLTS, Measurement, measure
from riserkit.wiring.readings.questions import questions
from riserkit.wiring.roles import DeviceRole, ElementRole

_READING: Final = re.compile(
    r"^\s*(?P<plus>\S+)\s+(?P<minus>\S+)\s+(?P<value>[-+]?\d+(?:[.,]\d+)?|open|closed)\s*"
    r"(?P<unit>mv|v|kohm|mohm|ohms?|kω|mω|ω)?(?:\s+(?P<state>.*?))?\s*$",
    re.IGNORECASE,
)
_SCALE: Final = {
    "": 1.0,
    "v": 1.0,
    "mv": 1e-3,
    "ohm": 1.0,
    "ohms": 1.0,
    "ω": 1.0,
    "kohm": 1e3,
    "kω": 1e3,
    "mohm": 1e6,
    "mω": 1e6,
}
_NUMBER: Final = re.compile(r"[-+]?\d+(?:[.,]\d+)?")
_CLOSED_OHM: Final = 1.0
_MOST_OHM: Final = 1e9
"""More than a hand-held meter shows before it says that a circuit is open; common practice, no source."""
_MOST_V: Final = 120.0
"""Upper end of extra-low voltage, ripple-free DC (IEC 60449, band I; from memory)."""

_HALF: Final = 0.5


@dataclass(frozen=True, slots=True)
class Observation:
    """One thing observed.

    Args:
        words: as stated.
        asked: what a meter would measure to see it; None where no voltage says it.
        low, high: the range that it leaves, the meter's error included, in volts or ohms.
        magnitude: polarity does not matter.
        device: the device that is seen to work or not, by designation.
        works: whether it does; None where no device is seen.
    """

    words: str
    asked: Measurement | None
    low: float = -math.inf
    high: float = math.inf
    magnitude: bool = False
    device: str = ""
    works: bool | None = None


_OF_SHEET: Final = re.compile(
    r"^\s*(?:no\.?\s*)?(?P<number>\d+)\s*[:=]?\s+(?P<value>[-+]?\d+(?:[.,]\d+)?|open|closed)\s*(?P<unit>mv|v|kohm|mohm|ohms?)?\s*$",
    re.IGNORECASE,
)


def read_reading(circuit: DoorCircuit, text: str) -> Observation:
    """A reading such as `M1+ M1- 3.0 V idle`, `K1.C K1.NO open power off`: red lead, black lead, value, unit, state.

    `7: 3.0 V` is number 7 of the door's test sheet.

    Raises:
        RiserkitError: it cannot be read so, or the door has no such terminal or state; the message says what it has.
    """
    if numbered := _OF_SHEET.match(text):
        return _of_sheet(
            circuit, text, int(numbered["number"]), numbered["value"].lower(), (numbered["unit"] or "").lower()
        )
    found = _READING.match(text)
    if found is None:
        raise RiserkitError(
            f"reading {text!r} cannot be read; expected red lead, black lead, value, unit, state, such as 'Y1.+ Y1.- 3.0 V idle'"
        )
    plus, minus = (terminal(circuit.netlist, found[name]) for name in ("plus", "minus"))
    if plus == minus:
        raise RiserkitError(
            f"reading {text!r} has both leads at one terminal, where a meter shows nothing of the door; state two"
        )
    state = read_state(circuit, found["state"] or "")
    unit, value = (found["unit"] or "").lower(), found["value"].lower().replace(",", ".")
    if not unit and value not in {"open", "closed"}:
        raise RiserkitError(f"reading {text!r} has no unit; expected V, mV, ohm, kohm or Mohm after {found['value']}")
    _plausible(text, value, unit)
    if unit in {"v", "mv"}:
        if state.dead:
            raise RiserkitError(f"reading {text!r} is in volts with power off; measure ohms, or state another state")
        return Observation(text, measurement(VOLTS, plus, minus, state), *_volts(value, _SCALE[unit]))
    return Observation(text, measurement(OHMS, plus, minus, _unpowered(circuit, state)), *_ohms(value, _SCALE[unit]))


def _of_sheet(circuit: DoorCircuit, text: str, number: int, value: str, unit: str) -> Observation:
    asked = [q.asked for q in questions(circuit)]
    if not 1 <= number <= len(asked):
        raise RiserkitError(f"reading {text!r}: the test sheet of this door has readings 1 to {len(asked)}")
    one, value = asked[number - 1], value.replace(",", ".")
    volts = one.meter in {VOLTS, DIODE}
    if value in {"open", "closed"}:
        if one.meter == VOLTS:
            raise RiserkitError(f"reading {text!r}: reading {number} is a voltage; {value!r} is for ohms")
        low, high = _ohms(value, 1.0)
        return Observation(text, one, OPEN_V if one.meter == DIODE and value == "open" else low, high)
    if not unit or (unit in {"v", "mv"}) is not volts:
        raise RiserkitError(f"reading {text!r}: reading {number} is in {'V' if volts else 'ohm'}")
    _plausible(text, value, unit)
    return Observation(text, one, *(_volts if volts else _ohms)(value, _SCALE[unit]))


def _plausible(text: str, value: str, unit: str) -> None:
    """Refuse what no meter shows at a door's circuit."""
    if value in {"open", "closed"}:
        return
    number = float(value) * _SCALE[unit]
    if unit in {"v", "mv"} and abs(number) > _MOST_V:
        raise RiserkitError(
            f"reading {text!r} is over {_MOST_V:.0f} V, which no circuit of a door has between any two points (extra-low"
            " voltage): read the meter and its range again. If it does show that, mains is on the wires: touch nothing more,"
            " and have it switched off by whoever is licensed for mains"
        )
    if unit not in {"v", "mv"} and number > _MOST_OHM:
        raise RiserkitError(f"reading {text!r} is no resistance that a meter shows; where it shows none, state open")
    if unit not in {"v", "mv"} and number < -LEADS_OHM:
        raise RiserkitError(
            f"reading {text!r} is below 0 ohm: measure with power off, and state what the meter then shows"
        )


def observe(words: str, asked: Measurement, text: str, value: float) -> Observation:
    """What somebody wrote for a measurement; its digits say how exactly.

    Args:
        words: for whoever reads of it.
        asked: the measurement.
        text: as written.
        value: what it means in volts or ohms; infinite for an open circuit.
    """
    if math.isinf(value):
        return Observation(words, asked, OPEN_V if asked.meter == DIODE else OPEN_OHM / 10.0, math.inf)
    digits = _NUMBER.search(text)
    if digits is None:
        return Observation(words, asked, 0.0, _CLOSED_OHM)
    number = digits.group().replace(",", ".")
    scale = value / float(number) if float(number) else 1.0
    return Observation(words, asked, *(_ohms if asked.meter == OHMS else _volts)(number, scale))


def measurement(meter: str, plus: str, minus: str, state: DoorState) -> Measurement:
    """A plain measurement in a state."""
    return Measurement(meter, plus, minus, state.outside, dead=state.dead, on_battery=state.on_battery)


def _unpowered(circuit: DoorCircuit, state: DoorState) -> DoorState:
    """Ohms are measured with power off, whatever else is done."""
    return state if state.dead else read_state(circuit, "power off")


def terminal(netlist: Netlist, text: str) -> str:
    """`component.terminal` from `M1+`, `M1.+` or `m1.+`.

    Raises:
        RiserkitError: there is no such terminal.
    """
    every = {f"{c.ref}.{t.name}": f"{c.ref}{t.name}".lower() for c in netlist.components for t in c.terminals}
    wanted = text.replace(".", "").replace(":", "").lower()
    for name, plain in every.items():
        if plain.replace(".", "") == wanted:
            return name
    ref = next((c.ref for c in netlist.components if wanted.startswith(c.ref.lower())), "")
    listed = [name for name in every if name.startswith(f"{ref}.")] if ref else list(every)
    raise RiserkitError(f"no terminal {text!r} at this door; expected {', '.join(listed[:24])}")


def _volts(value: str, scale: float) -> tuple[float, float]:
    if value in {"open", "closed"}:
        raise RiserkitError(f"a voltage is a number; {value!r} is for ohms")
    volts = float(value) * scale
    error = max(METER_V + METER_SHARE * abs(volts), _last_digit(value) * scale)
    return volts - error, volts + error


def _ohms(value: str, scale: float) -> tuple[float, float]:
    if value == "open":
        return OPEN_OHM / 10.0, math.inf
    if value == "closed":
        return 0.0, _CLOSED_OHM
    ohms = float(value) * scale
    error = max(CONTINUITY_TOLERANCE * abs(ohms) + LEADS_OHM, _last_digit(value) * scale)
    return max(0.0, ohms - error), math.inf if ohms >= OPEN_OHM else ohms + error


def _last_digit(value: str) -> float:
    """Half of the last digit: 3 V may be anything from 2.5 to 3.5."""
    return 0.5 * 10.0 ** -len(value.partition(".")[2])


SIGHTS: Final = {
    "lock locked": "lock stays locked in the state said",
    "lock released": "lock is free in the state said",
    "REX no effect": "the controller does not notice the REX sensor or exit button",
    "card no effect": "the reader accepts a card, the door stays locked",
    "release no effect": "manual release pressed, lock stays energised",
    "door shows open": "controller reports the door open; it is closed",
    "door shows closed": "controller reports the door closed; it is open",
    "REX always on": "controller reports a request to exit with nobody near",
    "reader dark": "no light at a reader",
    "reader lit": "light at a reader",
    "controller offline": "controller does not answer",
    "controller online": "controller answers",
}
"""What can be seen without a meter: the words to state, and what they mean."""

_INPUTS: Final = {
    "REX no effect": (ElementRole.REQUEST_INPUT, "motion", True),
    "REX always on": (ElementRole.REQUEST_INPUT, IDLE, False),
    "door shows open": (ElementRole.DOOR_INPUT, IDLE, False),
    "door shows closed": (ElementRole.DOOR_INPUT, "door open", True),
}
_STAYS_LOCKED: Final = {"card no effect": RELEASED, "release no effect": "release pressed"}
_DEVICES: Final = {
    "reader dark": (DeviceRole.READER, False), "reader lit": (DeviceRole.READER, True),
    "controller offline": (DeviceRole.CONTROLLER, False), "controller online": (DeviceRole.CONTROLLER, True),
}  # fmt: skip
_DRAWING: Final = (ElementRole.READER_LOAD, ElementRole.CONTROLLER_LOAD)
_LEAST_SUPPLY_V: Final = 6.0
_ROOM: Final = Temperatures(20.0, 20.0)


def read_sight(circuit: DoorCircuit, text: str) -> tuple[Observation, ...]:
    """Something seen, such as `REX no effect`, `lock locked in released`, `reader dark`.

    Raises:
        RiserkitError: it is none of `SIGHTS`, or this door has nothing of the kind.
    """
    words, _, said = text.partition(" in ")
    wanted = " ".join(words.lower().replace(",", " ").split())
    name = next((n for n in SIGHTS if n.lower() == wanted), "")
    if not name:
        raise RiserkitError(f"{text!r} is not known; expected {', '.join(SIGHTS)}")
    if said and not name.startswith("lock "):
        raise RiserkitError(f"{name!r} says its own state; leave out {said!r}")
    return tuple(_seen(circuit, name, said, text))


_SEEN_IN: Final = (IDLE, RELEASED, "motion", "release pressed")


def looks(circuit: DoorCircuit) -> Iterator[tuple[str, str]]:
    """What can be looked at at a door without a meter: two answers to each, as `read_sight` has them."""
    for words in door_states(circuit):
        if words.startswith(_SEEN_IN):
            yield f"lock locked in {words}", f"lock released in {words}"
    for role, answers in (
        (DeviceRole.READER, ("reader lit", "reader dark")),
        (DeviceRole.CONTROLLER, ("controller online", "controller offline")),
    ):
        if circuit.netlist.devices(role):
            yield answers


def _seen(circuit: DoorCircuit, name: str, said: str, text: str) -> list[Observation]:
    if name.startswith("lock "):
        return _locks(circuit, read_state(circuit, said), locked=name == "lock locked", text=text)
    if name in _INPUTS:
        role, state, as_idle = _INPUTS[name]
        return [_input(circuit, role, one, text, as_idle=as_idle) for one in _states(circuit, state, text)]
    if name in _STAYS_LOCKED:
        states = _states(circuit, _STAYS_LOCKED[name], text)
        return [seen for state in states for seen in _locks(circuit, state, locked=True, text=text)]
    role_seen, works = _DEVICES[name]
    return _devices(circuit, role_seen, works=works, text=text)


def _states(circuit: DoorCircuit, name: str, text: str) -> list[DoorState]:
    """The states of one kind, such as `motion B1` and `motion B2`."""
    found = [state for words, state in door_states(circuit).items() if words == name or words.startswith(f"{name} ")]
    if not found:
        raise RiserkitError(f"{text!r}: this door has no state {name!r}; it has {', '.join(door_states(circuit))}")
    return found


def _locks(circuit: DoorCircuit, state: DoorState, *, locked: bool, text: str) -> list[Observation]:
    """A lock that is energised has at least its drop-out voltage; one that is not has less than its pull-in."""
    found = []
    energised = locked is circuit.fail_safe
    for ref in circuit.locks:
        values = circuit.netlist.element(circuit.coil(ref)).values
        pull_in, drop_out = values.get("v_pull_in_v", math.nan), values.get("v_drop_out_v", math.nan)
        # where nobody states them: a coil without voltage does not hold, and anything may be too little to pull in
        least = METER_V if math.isnan(drop_out) else drop_out
        most = math.inf if math.isnan(pull_in) else pull_in
        asked = measurement(VOLTS, *circuit.netlist.ends(circuit.coil(ref)), state)
        low, high = (least, math.inf) if energised else (0.0, most)
        found.append(Observation(text, asked, low, high, magnitude=True, device=ref, works=energised))
    return found


def _input(circuit: DoorCircuit, role: ElementRole, state: DoorState, text: str, *, as_idle: bool) -> Observation:
    """An input reads open above half of its own voltage, closed below (common practice, no source).

    It reads in this state as it should with the door idle, or the other way.
    """
    netlist = circuit.netlist
    names = netlist.elements(role)
    ends = input_ends(netlist, role) if names else ("", "")
    if not landed(netlist, ends[0]):
        raise RiserkitError(f"{text!r}: nothing is wired to that input at this door")
    half_v = _HALF * netlist.element(names[0]).values["v_nominal_v"]
    idle = measurement(VOLTS, *ends, door_states(circuit)[IDLE])
    usual_v = float(measure([netlist], [idle], _ROOM)[0].nominal[0])
    low, high = (-math.inf, half_v) if (usual_v < half_v) is as_idle else (half_v, math.inf)
    return Observation(text, measurement(VOLTS, *ends, state), low, high)


def _devices(circuit: DoorCircuit, role: DeviceRole, *, works: bool, text: str) -> list[Observation]:
    """A device works from half of its usual 12 V on (common practice, no source)."""
    devices = circuit.netlist.devices(role)
    if not devices:
        raise RiserkitError(f"{text!r}: this door has no {role}")
    idle = door_states(circuit)[IDLE]
    found = []
    for component in devices:
        load = next((e for e in component.elements if e.role in _DRAWING), None)
        seen = Observation(text, None, device=component.ref, works=works)
        if load is not None:
            asked = measurement(VOLTS, f"{component.ref}.{load.a}", f"{component.ref}.{load.b}", idle)
            low, high = (_LEAST_SUPPLY_V, math.inf) if works else (-math.inf, _LEAST_SUPPLY_V)
            seen = replace(seen, asked=asked, low=low, high=high)
        found.append(seen)
    return found
