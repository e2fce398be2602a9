"""Which stated former names hold: a name that is still in use is nobody's former name."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping


def former_names(formerly: Mapping[str, str]) -> Mapping[str, str]:
    """By former name the one that it is now.

    A former name holds where no other states it, and where what bears it now, if anything does, has a former name that holds.
    So names that were exchanged, or that all moved up by one, hold together or not at all.

    Args:
        formerly: by name now the former one; empty where there is none.

    Examples:
        >>> dict(former_names({"7": "1", "2": ""}))
        {'1': '7'}
        >>> dict(former_names({"101": "102", "102": "101"}))
        {'102': '101', '101': '102'}
        >>> dict(former_names({"101": "", "102": "101", "103": "102"}))
        {}
    """
    times = Counter(formerly.values())
    held = {name: former for name, former in formerly.items() if former not in ("", name) and times[former] == 1}
    while True:
        left = {name: former for name, former in held.items() if former not in formerly or former in held}
        if left == held:
            return {former: name for name, former in held.items()}
        held = left
