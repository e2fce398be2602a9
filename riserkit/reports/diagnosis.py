"""What is at fault at a door: candidates with the readings that each predicts, and the reading to take next."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import Any, Final

from riserkit.errors import RiserkitError
from riserkit.pipeline import read_to_work
from riserkit.plugin.read import read_site
from riserkit.quantities.grouping import grouped
from riserkit.record.returns import read_returns
from riserkit.reports.explained import wiring_of
from riserkit.troubleshooting.diagnose import HEALTHY, Conclusion, Diagnosis, FaultCandidate, diagnose
from riserkit.troubleshooting.netlists import FaultNetlists
from riserkit.troubleshooting.observed import Observation, read_reading
from riserkit.troubleshooting.predict import predict
from riserkit.troubleshooting.returned import returned_observations
from riserkit.troubleshooting.sights import read_sight, sight_words
from riserkit.troubleshooting.suspects import Suspect
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.readings.expected import expected_readings
from riserkit.wiring.readings.meter import OHMS, OPEN_OHM, Measurement
from riserkit.wiring.values import DoorWiring

CAUTIONS: Final = (
    "Work on mains supplies is for those licensed for it. Ohms only with power and batteries off.",
    "While a door is being tested, see that people can get out. The local code, the authority having jurisdiction and "
    "licensed practice govern.",
)
_MOST_LISTED: Final = 12
_MOST_DOUBTED: Final = 3
_NONE_APART: Final = "No reading at the terminals tells these apart. Check them one by one, the easiest first."
_NONE_LIKELY: Final = (
    "No reading tells more of what is likely. Check them in this order, of those as likely the easiest first."
)
_ANYTHING: Final = "anything"
_WHY_ANYTHING: Final = (
    "anything: a source or a relay would be at its limit, and what a meter shows then cannot be told beforehand."
)
_ALIKE_V, _ALIKE_OHM, _ALIKE = 0.2, 1.0, 0.05
"""Ends of two ranges that are no more than this apart are one on a meter at a door (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class ReturnedUse:
    """How many readings came back of a door, and how many of them are used, with and without a meter's."""

    came: int = 0
    used: int = 0

    @property
    def words(self) -> str:
        """What is printed of it; empty where nothing came back."""
        if not self.came:
            return ""
        return (
            f"{self.used} of the {self.came} readings that came back of this door are used; the others are no meter's, "
            "have no line on its test sheet, or are stated anew. --ignore-returned leaves all of them out."
        )


@dataclass(frozen=True, slots=True)
class DoorDiagnosis:
    """A door, what was observed, what a healthy door would show there, and what it comes to.

    `unsuitable`: what its wiring fails as designed, in words, for then it may not work without any fault.
    """

    mark: str
    observed: tuple[Observation, ...]
    returned: ReturnedUse
    healthy: tuple[tuple[float, float] | None, ...]
    found: Diagnosis
    unsuitable: tuple[str, ...] = ()


def diagnose_opening(
    path: Path | str,
    mark: str,
    readings: Sequence[str],
    sights: Sequence[str],
    options: Mapping[str, str] | None = None,
    *,
    uses_returned: bool = True,
) -> DoorDiagnosis:
    """Read a site and find the fault of one opening of it.

    Args:
        path: where the site is.
        mark: of the opening.
        readings: such as `M1+ M1- 3.0 V idle`; see `riserkit.troubleshooting.observed.read_reading`.
        sights: such as `REX no effect`; see `riserkit.troubleshooting.sights.SIGHTS`.
        options: settings of the input format.
        uses_returned: also take the readings that came back of this door (`riserkit return`), where none of `readings` is
            of the same place and state.

    Raises:
        RiserkitError: the input has problems, there is no such opening, it has no circuit or one that cannot be computed,
            or a reading cannot be read.
    """
    # where readings came back, lengths and parts are as they came back too
    came_back = uses_returned and _came_back(Path(path))
    site = read_to_work(path, options, as_built=True)[0] if came_back else read_site(path, options)
    rows = site.as_built.readings_of.get(mark, ()) if came_back and site.as_built else ()
    wiring = wiring_of(site, mark)
    circuit = _computable(mark, wiring)
    at = Temperatures.of(site.info)
    stated = tuple(read_reading(circuit, text) for text in readings)
    returned = _not_stated_anew(
        returned_observations(circuit, expected_readings(circuit, at), rows) if rows else (), stated
    )
    observed = (*stated, *(one for text in sights for one in read_sight(circuit, text)), *returned)
    return DoorDiagnosis(
        mark, observed, ReturnedUse(len(rows), len(returned)), _when_healthy(circuit, observed, at),
        diagnose(circuit, observed, at), tuple(reason.text for reason in wiring.drawn.failed) if wiring.drawn else (),
    )  # fmt: skip


def _computable(mark: str, wiring: DoorWiring) -> DoorCircuit:
    """The circuit of an opening.

    Raises:
        RiserkitError: it has none, or one that cannot be computed.
    """
    circuit = wiring.circuit
    if circuit is None:
        raise RiserkitError(
            f"opening {mark} has no circuit: no wiring is suitable; run riserkit explain for the reasons"
        )
    if circuit.netlist.unknown:
        raise RiserkitError(f"opening {mark} cannot be computed: its parts lack values; run riserkit explain for which")
    return circuit


def _when_healthy(
    circuit: DoorCircuit, observed: Sequence[Observation], at: Temperatures
) -> tuple[tuple[float, float] | None, ...]:
    """For each observation the band that a healthy door shows there; None for what no meter shows."""
    metered = [a for one in observed if (a := one.asked) is not None]
    usual = predict(FaultNetlists(circuit), (HEALTHY,), metered, at)
    bands = iter(zip(usual.low[:, 0].tolist(), usual.high[:, 0].tolist(), strict=True))
    return tuple(next(bands) if one.asked is not None else None for one in observed)


def _came_back(path: Path) -> bool:
    """Whether any reading has."""
    return path.is_dir() and any(one.rows.get("readings") for one in read_returns(path))


def _not_stated_anew(returned: Sequence[Observation], stated: Sequence[Observation]) -> tuple[Observation, ...]:
    """Without those of a place and state that has been measured since."""
    places = {asked.either_way for one in stated if (asked := one.asked) is not None}
    return tuple(one for one in returned if one.asked is not None and one.asked.either_way not in places)


def diagnosis_lines(door: DoorDiagnosis) -> Iterator[str]:
    """A diagnosis in words, a line each; an empty line between parts."""
    found = door.found
    if door.observed:
        yield f"Opening {door.mark}: {found.verdict}."
        yield from (f"  {line}" for line in _observations(door))
    else:
        yield f"Opening {door.mark}: nothing stated yet."
    if door.unsuitable:
        told = f"As designed its wiring fails: {'; '.join(door.unsuitable)}. What is seen may be that, and no fault."
        yield from textwrap.wrap(told, 100, initial_indent="  ", subsequent_indent="  ")
    if door.returned.words:
        yield from textwrap.wrap(door.returned.words, 100, initial_indent="  ", subsequent_indent="  ")
    if found.verdict is Conclusion.UNEXPLAINED:
        yield "Take these readings again; then look for what the design does not have: another part, a wire of another trade."
    if found.verdict is Conclusion.CONTRADICTORY:
        yield "Take them again, in the same state of the door and with the same meter."
    yield from _doubt_lines(door)
    if found.candidates:
        yield ""
        yield "What is left, the likeliest first:"
        yield from _listed(door)
    if found.look is not None:
        yield from _look_lines(found.look.answers)
    if found.next is not None:
        yield ""
        yield f"Next reading: {found.next.ask.words}."
        if found.candidates:
            yield from _would_show(door)
    elif len(found.candidates) > 1:
        yield ""
        yield _NONE_APART if len({c.alike for c in found.candidates}) == 1 else _NONE_LIKELY
    yield ""
    for caution in CAUTIONS:
        yield from textwrap.wrap(caution, 80)


def _doubt_lines(door: DoorDiagnosis) -> Iterator[str]:
    """Readings that may be a slip, each with what they would come to."""
    for one in door.found.doubts:
        read = [door.observed[place] for place in one.places]
        some = list(zip(one.suspects, one.predicted, strict=True))[:_MOST_DOUBTED]
        told = "; ".join(f"{suspect_words(s)}, {band_words(read[0].asked, band)}" for s, band in some)
        more = f"; and {len(one.suspects) - len(some)} more" if len(one.suspects) > len(some) else ""
        comes_to = f"one fault would explain all: {told}{more}"
        if one.suspects[0] is HEALTHY:
            comes_to = f"the door is healthy: {band_words(read[0].asked, one.predicted[0])}"
        yield ""
        words = f"Take again first: {'; '.join(r.words for r in read)}. {one.slip.capitalize()} {comes_to}."
        yield from textwrap.wrap(words, 100, break_on_hyphens=False)


def _look_lines(answers: Sequence[str]) -> Iterator[str]:
    yield ""
    yield "Look first, without a meter, and state which it is:"
    first, other, *more = answers
    width = max(len(first), len(other))
    for one in (first, other):
        yield f"  --sees '{one}'{' ' * (width - len(one))}  {sight_words(one)}"
    if more:
        told = f"Likewise at {', '.join(one.rpartition(' ')[2] for one in more)}: state each that is so."
        yield from textwrap.wrap(told, 98, initial_indent="  ", subsequent_indent="  ")


def _observations(door: DoorDiagnosis) -> Iterator[str]:
    places = grouped((one.words, place) for place, one in enumerate(door.observed))
    for words, here in places.items():
        # what is seen may be several things at once: it is told by that which is not healthy
        place = next((p for kind in (door.found.contradicting, door.found.odd) for p in here if p in kind), here[-1])
        one, healthy = door.observed[place], door.healthy[place]
        usual = f"; a healthy door: {band_words(one.asked, healthy)}" if healthy and one.asked and not one.seen else ""
        note = "contradicted by another" if place in door.found.contradicting else ""
        note = note or ("not healthy" if place in door.found.odd else "healthy" if door.found.odd else "")
        yield f"{words}{usual}{f' ({note})' if note else ''}"


def _listed(door: DoorDiagnosis) -> Iterator[str]:
    candidates = door.found.candidates
    number, unforetold = 0, False
    for group in _groups(candidates):
        for candidate in group:
            number += 1
            yield f"  {number}. {fault_words(candidate)} ({_percent(candidate.share)})"
            predicted = [
                (one.words.split(" in ")[0], band_words(one.asked, band))
                for one, band in zip(door.observed, candidate.predicted, strict=True)
                if band is not None and one.asked is not None and not one.seen
            ]
            if predicted:
                yield f"     predicts {'; '.join(f'{words}: {band}' for words, band in predicted)}"
            unforetold = unforetold or any(band == _ANYTHING for _, band in predicted)
        if len(group) > 1:
            yield "     No reading tells these apart."
    if len(candidates) > _MOST_LISTED:
        yield f"  and {len(candidates) - _MOST_LISTED} less likely"
    if unforetold:
        yield from textwrap.wrap(_WHY_ANYTHING, 80, initial_indent="  ", subsequent_indent="  ")
    if door.found.cut:
        yield "  Two faults together were tried only in part: there are too many pairs."


def _would_show(door: DoorDiagnosis) -> Iterator[str]:
    following = door.found.next
    if following is None:
        return
    in_order = chain.from_iterable(_groups(door.found.candidates))
    numbers = {id(c): str(n) for n, c in enumerate(in_order, start=1)}
    both = zip(door.found.candidates, following.predicted, strict=False)
    listed = [(numbers[id(candidate)], band) for candidate, band in both if id(candidate) in numbers]
    for words, which in outcomes(following.ask.asked, listed):
        yield f"  {words}: {', '.join(which)}"


def outcomes(asked: Measurement, bands: Iterable[tuple[str, tuple[float, float]]]) -> list[tuple[str, list[str]]]:
    """What a reading may show, with the names of what shows it; ranges that nobody could tell apart on a meter are one.

    Examples:
        >>> volts = Measurement("volts DC", "M1.+", "M1.-")
        >>> outcomes(volts, [("1", (-0.1, 0.1)), ("2", (10.8, 12.1)), ("3", (0.0, 0.1))])
        [('-0.1 to 0.1 V', ['1', '3']), ('10.8 to 12.1 V', ['2'])]
    """
    room = _ALIKE_OHM if asked.meter == OHMS else _ALIKE_V
    found: list[tuple[tuple[float, float], list[str]]] = []
    for name, (low, high) in bands:
        near = (
            k for k, ((least, most), _) in enumerate(found) if _close(low, least, room) and _close(high, most, room)
        )
        place = next(near, None)
        if place is None:
            found.append(((low, high), [name]))
        else:
            (least, most), names = found[place]
            found[place] = (min(low, least), max(high, most)), [*names, name]
    return [(band_words(asked, band), names) for band, names in found]


def _close(one: float, other: float, room: float) -> bool:
    return one == other or abs(one - other) <= max(room, _ALIKE * max(abs(one), abs(other)))


def _groups(candidates: Sequence[FaultCandidate]) -> list[list[FaultCandidate]]:
    """Those that are listed, with those that no reading tells from them beside them."""
    groups = grouped((candidate.alike, candidate) for candidate in candidates[:_MOST_LISTED])
    return list(groups.values())


def fault_words(candidate: FaultCandidate) -> str:
    """A fault in words, a poor joint with its resistance."""
    return suspect_words(candidate.suspect)


def suspect_words(suspect: Suspect) -> str:
    """The same of a fault by itself."""
    if suspect.joint_ohm is None:
        return suspect.words
    return f"{suspect.words}, {_ohms(suspect.joint_ohm[0])} to {_ohms(suspect.joint_ohm[1])}"


def _percent(share: float) -> str:
    return f"{share:.0%}" if share >= 0.01 else "below 1%"


def _ohms(value: float) -> str:
    """To two figures; a meter shows nothing below 0."""
    if value >= OPEN_OHM:
        return "open"
    value = float(f"{max(value, 0.0):.2g}")
    return f"{value / 1000.0:g} kohm" if value >= 1000.0 else f"{value:g} ohm"


def band_words(asked: Measurement | None, band: tuple[float, float]) -> str:
    """`11.9 to 13.4 V`, `open`, `anything`."""
    low, high = band
    ohms = asked is not None and asked.meter == OHMS
    if ohms and low >= OPEN_OHM:
        return "open"
    if low == float("-inf") or (high == float("inf") and not ohms):
        return _ANYTHING
    if ohms:
        least, most = _ohms(low), _ohms(high)
        return _ANYTHING if (least, most) == ("0 ohm", "open") else least if least == most else f"{least} to {most}"
    low, high = round(low, 1) + 0.0, round(high, 1) + 0.0
    return f"{low:.1f} V" if low == high else f"{low:.1f} to {high:.1f} V"


def diagnosis_json(door: DoorDiagnosis) -> dict[str, Any]:
    """The same as JSON: volts and ohms; null where a bound is open."""
    found = door.found
    return {
        "opening": door.mark,
        "verdict": found.verdict.name.lower(),
        "unsuitable": list(door.unsuitable),
        "returned": {"came_back": door.returned.came, "used": door.returned.used},
        "observed": [
            {"words": one.words, "healthy": _json_band(healthy), "odd": place in found.odd,
             "contradicted": place in found.contradicting}
            for place, (one, healthy) in enumerate(zip(door.observed, door.healthy, strict=True))
        ],
        "candidates": [
            {"fault": c.suspect.words, "kind": c.suspect.kind, "at": sorted(c.suspect.blames), "share": round(c.share, 4),
             "joint_ohm": _json_band(c.suspect.joint_ohm), "predicted": [_json_band(band) for band in c.predicted],
             "alike": c.alike}
            for c in found.candidates
        ],
        "next": None if found.next is None else {
            "reading": found.next.ask.words, "meter": found.next.ask.asked.meter, "plus": found.next.ask.asked.plus,
            "minus": found.next.ask.asked.minus, "open_bits": round(found.next.open_bits, 3),
            "left_bits": round(found.next.left_bits, 3),
        },
        "look": None if found.look is None else list(found.look.answers),
        "doubts": [
            {"readings": [door.observed[place].words for place in one.places], "slip": one.slip.name.lower(),
             "faults": [suspect.words for suspect in one.suspects]}
            for one in found.doubts
        ],
        "cut": found.cut,
    }  # fmt: skip


def _json_band(band: tuple[float, float] | None) -> list[float | None] | None:
    if band is None:
        return None
    return [round(end, 4) if abs(end) != float("inf") else None for end in band]
