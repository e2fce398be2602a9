"""Observations of one door that no circuit gives together."""

from __future__ import annotations

from collections.abc import Sequence

from riserkit.diagnosis.contradiction import VoltageBetween, contradiction
from riserkit.troubleshooting.observed import Observation
from riserkit.wiring.readings.meter import VOLTS


def contradicting(observed: Sequence[Observation]) -> tuple[int, ...]:
    """Places of observations that contradict one another: voltages in one state round a loop, or one thing stated twice."""
    states: dict[tuple[object, ...], list[int]] = {}
    for place, one in enumerate(observed):
        asked = one.asked
        if asked is not None and asked.meter == VOLTS and not one.magnitude and not asked.less and not one.seen:
            states.setdefault((asked.on, asked.lifts, asked.on_battery), []).append(place)
    for places in states.values():
        rows = [
            VoltageBetween(asked.plus, asked.minus, one.low, one.high)
            for one in (observed[p] for p in places)
            if (asked := one.asked) is not None
        ]
        if clash := contradiction(rows):
            return tuple(places[k] for k in clash)
    return _said_twice(observed) or _landed_both_ways(observed)


def hang_free(observed: Sequence[Observation], low_v: Sequence[float], high_v: Sequence[float]) -> bool:
    """Whether a circuit that shows these voltages contradicts itself.

    It does where a contact is open: the meter's own current moves what hangs free, and voltages round a loop do not add up.

    Args:
        observed: some observations.
        low_v: the least that the circuit shows at each.
        high_v: the most.
    """
    asked = [one.asked for one in observed]
    if any(a is None or a.meter != VOLTS for a in asked) or any(one.magnitude or one.seen for one in observed):
        return False
    rows = [
        VoltageBetween(a.plus, a.minus, *band) for a, *band in zip(asked, low_v, high_v, strict=True) if a is not None
    ]
    return bool(contradiction(rows))


def _said_twice(observed: Sequence[Observation]) -> tuple[int, ...]:
    """One thing measured twice in one state, or one device seen twice, with nothing that both allow."""
    for two, one in ((b, a) for b in range(len(observed)) for a in range(b)):
        first, second = observed[one], observed[two]
        keys = [asked.key if (asked := seen.asked) is not None else None for seen in (first, second)]
        if first.one_of or second.one_of or first.by_data is not second.by_data:
            continue  # each may be of another device; a reader with its light on may send nothing
        # what a controller reports of an input is no reading of its voltage: a dead input has none and reads open
        if first.device != second.device or keys[0] != keys[1] or first.seen is not second.seen:
            continue
        nothing_both = first.high < second.low or second.high < first.low
        if first.works is not second.works if first.device else nothing_both:
            return one, two
    return ()


def _landed_both_ways(observed: Sequence[Observation]) -> tuple[int, ...]:
    """One device with all wires as listed, and a terminal of it with one that is not."""
    for one, first in enumerate(observed):
        for two, second in enumerate(observed):
            places = {second.landed_at, second.landed_at.partition(".")[0]}
            if first.as_listed is True and second.as_listed is False and first.landed_at in places:
                return min(one, two), max(one, two)
    return ()
