"""Which hardware set a name means: `01` is set 1, and so are `HW-1` and `Set 1`, where no other set goes by that name."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from riserkit.importing.facts import HardwareSet
from riserkit.importing.names import folded_mark

_WORDS: Final = re.compile(
    r"(?:(?:hardware|hdwr?|hdwe|hrdwr?|hw|h/w|ironmongery|beschlag\w*|set|group|grp|satz|gruppe|no|nr|number)(?=[\d\s.:#\-])|#)[\s.:#\-]*",
    re.IGNORECASE,
)
_NOUGHTS: Final = re.compile(r"(?<!\d)0+(?=\d)")


def folded_set(name: str) -> str:
    """A set's name to compare by: without the words for a set and the noughts before its number.

    Examples:
        >>> [folded_set(name) for name in ("01", "1", "HW-1", "Hardware Set No. 01", "#1", "1.0", "AC-02", "Set A")]
        ['1', '1', '1', '1', '1', '1-0', 'ac2', 'a']
    """
    plain = name.strip()
    while (match := _WORDS.match(plain)) and match.end() < len(plain):
        plain = plain[match.end() :]
    return folded_mark(_NOUGHTS.sub("", plain))


class HardwareSets:
    """Hardware sets by the names that doors call them by."""

    def __init__(self, sets: Sequence[HardwareSet]) -> None:
        self._by_name: dict[str, list[HardwareSet]] = {}
        self._by_key: dict[str, list[HardwareSet]] = {}
        for one in sets:
            self._by_name.setdefault(one.name.casefold(), []).append(one)
            self._by_key.setdefault(folded_set(one.name), []).append(one)

    def named(self, name: str) -> Sequence[HardwareSet]:
        """The set of a name, in as many parts as documents describe it; empty for none, or where it may be several.

        Examples:
            >>> from riserkit.importing.facts import At
            >>> sets = HardwareSets([HardwareSet(At("a"), name, ()) for name in ("1", "HW-2", "02", "3")])
            >>> [[one.name for one in sets.named(name)] for name in ("01", "hw-2", "2", "Set 3", "4")]
            [['1'], ['HW-2'], [], ['3'], []]
        """
        exact = self._by_name.get(name.strip().casefold(), [])
        return exact or (self._by_key[folded_set(name)] if len(self.alike(name)) == 1 else [])

    def alike(self, name: str) -> Sequence[str]:
        """The names of sets that differ from a name only by words for a set and noughts before the number."""
        found = self._by_key.get(folded_set(name), []) if folded_set(name) else []
        return list({one.name.casefold(): one.name for one in found}.values())

    def items(self, name: str) -> Sequence[tuple[str, str]]:
        """The items of the set of a name."""
        return [item for one in self.named(name) for item in one.items]
