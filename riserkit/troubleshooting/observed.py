"""What was read and what was seen at a door, as ranges that a circuit has to meet."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

from riserkit.circuits.netlist import Netlist
from riserkit.errors import RiserkitError
from riserkit.troubleshooting.states import IDLE, RELEASED, DoorState, read_state
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.readings.expected import CONTINUITY_TOLERANCE, LEADS_OHM, METER_SHARE, METER_V
from riserkit.wiring.readings.meter import DIODE, OHMS, OPEN_OHM, OPEN_V, VOLTS, Measurement
from riserkit.wiring.readings.questions import questions

_READING: Final = re.compile(
    r"^\s*(?P<plus>\S+)\s+(?P<minus>\S+)\s+(?P<value>[-+]?\d+(?:[.,]\d+)?|open|closed)\s*"
    r"(?P<unit>mv|v(?:olts?)?|kohm|mohm|ohms?|kω|mω|ω)?(?:\s*(?P<current>[ad]c)\b)?(?:\s+(?P<state>.*?))?\s*$",
    re.IGNORECASE,
)
_SCALE: Final = {
    "": 1.0,
    "v": 1.0,
    "volt": 1.0,
    "volts": 1.0,
    "mv": 1e-3,
    "ohm": 1.0,
    "ohms": 1.0,
    "ω": 1.0,
    "kohm": 1e3,
    "kω": 1e3,
    "mohm": 1e6,
    "mω": 1e6,
}
_OF_VOLTS: Final = frozenset({"v", "mv", "volt", "volts"})
_NUMBER: Final = re.compile(r"[-+]?\d+(?:[.,]\d+)?")
_STRAY_V: Final = 0.2
"""A meter of 10 megohm may show so much between wires that have nothing on them (common practice, no source)."""
_CLOSED_OHM: Final = 1.0
_MOST_OHM: Final = 1e9
"""More than a hand-held meter shows before it says that a circuit is open; common practice, no source."""
_MOST_V: Final = 120.0
"""Upper end of extra-low voltage, ripple-free DC (IEC 60449, band I; from memory)."""


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
        seen: without a meter.
        one_of: of all that have the same here at least one holds; each by itself where empty.
        by_data: it works only where data reaches it too.
        landed_at: the device or the terminal at which somebody has looked where wires are landed, by designation.
        as_listed: whether they are there as the landing list says; None where nobody has looked.
    """

    words: str
    asked: Measurement | None
    low: float = -math.inf
    high: float = math.inf
    magnitude: bool = False
    device: str = ""
    works: bool | None = None
    seen: bool = False
    one_of: str = ""
    by_data: bool = False
    landed_at: str = ""
    as_listed: bool | None = None


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
        plus, minus = circuit.netlist.ends(circuit.coil(circuit.locks[0]))
        raise RiserkitError(
            f"reading {text!r} cannot be read; expected red lead, black lead, value, unit, state, such as '{plus} {minus} 3.0 V"
            f" {RELEASED if circuit.command else IDLE}' for what lock {circuit.locks[0]} gets"
        )
    if (found["current"] or "").lower() == "ac":
        raise RiserkitError(f"reading {text!r} is AC; a door's circuit is DC: measure it on DC, and state that")
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
    if unit in _OF_VOLTS:
        if state.dead:
            raise RiserkitError(f"reading {text!r} is in volts with power off; measure ohms, or state another state")
        if not found["state"]:
            text = f"{text.strip()} (no state stated: taken as {IDLE})"
        return Observation(text, measurement(VOLTS, plus, minus, state), *_volts(value, _SCALE[unit]))
    if not state.dead and found["state"]:
        text = f"{text.strip()} (ohms: taken with power off)"
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
    if unit in _OF_VOLTS and abs(number) > _MOST_V:
        raise RiserkitError(
            f"reading {text!r} is over {_MOST_V:.0f} V, which no circuit of a door has between any two points (extra-low"
            " voltage): read the meter and its range again. If it does show that, mains is on the wires: touch nothing more,"
            " and have it switched off by whoever is licensed for mains"
        )
    if unit not in _OF_VOLTS and number > _MOST_OHM:
        raise RiserkitError(f"reading {text!r} is no resistance that a meter shows; where it shows none, state open")
    if unit not in _OF_VOLTS and number < -LEADS_OHM:
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
    refs = [c.ref for c in netlist.components if any(name.startswith(f"{c.ref}.") for name in every)]
    ref = next((ref for ref in sorted(refs, key=len, reverse=True) if wanted.startswith(ref.lower())), "")
    if ref:
        raise RiserkitError(
            f"{ref} has no terminal {text!r}; expected {', '.join(n for n in every if n.startswith(f'{ref}.'))}"
        )
    raise RiserkitError(
        f"no terminal {text!r} at this door; its devices are {', '.join(refs)}, such as {next(iter(every))}"
    )


def _volts(value: str, scale: float) -> tuple[float, float]:
    if value in {"open", "closed"}:
        raise RiserkitError(f"a voltage is a number; {value!r} is for ohms")
    volts = float(value) * scale
    error = max(METER_V + METER_SHARE * abs(volts), _last_digit(value) * scale)
    if abs(volts) <= _STRAY_V:
        return min(0.0, volts - error), max(0.0, volts + error)
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
