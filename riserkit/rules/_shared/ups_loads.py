"""The load of a UPS besides doors, what is not known of its load, and what to do about it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from riserkit.model.power import Switch, Ups
from riserkit.quantities.printed import upper_first


def other_load_w(ups: Ups, switches: Iterable[Switch]) -> float:
    """Watts of what stands on a UPS, and of what its switches feed, besides doors; a row that states none has none."""
    stated = (ups.other_w, *(switch.other_w for switch in switches))
    return sum(watts for watts in stated if watts is not None)


def unknown_loads(ports_w: Mapping[str, float | None], own_w: Mapping[str, float | None]) -> tuple[list[str], str]:
    """What is not known, in words, and the remedy; none and empty where all is known.

    Args:
        ports_w: what the port of each opening gives, by mark.
        own_w: what each switch draws itself, by id.
    """
    bare = [f"own_w of {name}" for name, watts in own_w.items() if watts is None]
    doors = [f"the load of {mark}" for mark, watts in ports_w.items() if watts is None]
    ways = [f"state {' and '.join(bare)}"] if bare else []
    ways += ["fix the circuits of these doors"] if doors else []
    text = " and ".join(ways)
    return [*bare, *doors], f"{upper_first(text)}." if text else ""
