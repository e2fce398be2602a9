"""What most cables and pathways of a level have alike: its notes say it once, labels only what differs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Final

from riserkit.model.cabling import PathwaySegment
from riserkit.model.place import PathwayNode
from riserkit.quantities.printed import UnitSystem, format_length

_CEILING: Final = "the ceiling"


def usual(values: Iterable[str]) -> str:
    """The value that most have, the first of those that as many have; empty where there is none.

    Examples:
        >>> usual(["cat6", "", "cat6-outdoor", "cat6"]), usual([])
        ('cat6', '')
    """
    counted = Counter(value for value in values if value)
    return counted.most_common(1)[0][0] if counted else ""


def height_words(ends: Iterable[PathwayNode], units: UnitSystem) -> str:
    """How high above its floor a pathway runs, such as `at 2.6 m`; at the ceiling where nobody states otherwise."""
    told = dict.fromkeys(_CEILING if n.height_m is None else format_length(n.height_m, units) for n in ends)
    return f"at {next(iter(told))}" if len(told) == 1 else f"from {' to '.join(told)}"


def size_words(segment: PathwaySegment) -> str:
    """Its trade size where that is stated, as it stands behind its id."""
    return f", trade size {segment.trade_size}" if segment.trade_size else ""
