"""Which of the entities drawn earlier is which of those drawn now. Plain values only; nothing is read or drawn here.

A thing is known by the stem of its key: what it stands for and which part of that. Among several alike, first those that
look the same, then those that say the same, then those that stand between the same neighbours, last by number.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Callable, Iterator, Sequence
from typing import Literal, NamedTuple

from riserkit.drawings.dxf.marks import stem_of
from riserkit.drawings.dxf.record import Drawn

State = Literal["intact", "edited", "deleted"]
Key = tuple[str, str]


class Earlier(NamedTuple):
    """An entity drawn earlier, as it was drawn, and what a drafter has done with it since."""

    drawn: Drawn
    state: State


class Pair(NamedTuple):
    """An entity drawn earlier with the one that stands for the same now; None where there is none."""

    earlier: Earlier | None
    now: Drawn | None

    @property
    def is_same(self) -> bool:
        """Drawn now exactly as it was drawn then."""
        both = self.earlier is not None and self.now is not None
        return both and self.earlier.drawn.fingerprint == self.now.fingerprint  # type: ignore[union-attr]

    @property
    def says_the_same(self) -> bool:
        """Drawn now with the words, or as the symbol, that it was drawn with then, wherever it stands."""
        both = self.earlier is not None and self.now is not None
        return both and self.now.content != "" and self.earlier.drawn.content == self.now.content  # type: ignore[union-attr]


def match(earlier: Sequence[Earlier], now: Sequence[Drawn]) -> tuple[Pair, ...]:
    """Pairs in the order of what is drawn now, then what is drawn no more, in its own order.

    Every one given is in exactly one pair.
    """
    before: defaultdict[Key, list[int]] = defaultdict(list)
    after: defaultdict[Key, list[int]] = defaultdict(list)
    for n, old in enumerate(earlier):
        before[_key(old.drawn)].append(n)
    for n, new in enumerate(now):
        after[_key(new)].append(n)
    partner: dict[int, int] = {}
    for key, news in after.items():
        olds = before.get(key, [])
        found = _match_group([earlier[n].drawn for n in olds], [now[n] for n in news])
        partner.update((news[j], olds[i]) for i, j in found.items())
    taken = set(partner.values())
    pairs = [Pair(earlier[partner[n]] if n in partner else None, new) for n, new in enumerate(now)]
    pairs += [Pair(old, None) for n, old in enumerate(earlier) if n not in taken]
    return tuple(pairs)


def _key(drawn: Drawn) -> Key:
    return drawn.space, stem_of(drawn.key)


def _match_group(olds: Sequence[Drawn], news: Sequence[Drawn]) -> dict[int, int]:
    """Index of the new one for that of the old one."""
    found: dict[int, int] = {}
    _match_by(olds, news, found, lambda drawn: drawn.fingerprint)
    _match_by(olds, news, found, lambda drawn: drawn.content)
    _match_between(len(olds), len(news), found)
    taken = set(found.values())
    for n in range(min(len(olds), len(news))):
        if n not in found and n not in taken:
            found[n] = n
    return found


def _match_by(
    olds: Sequence[Drawn], news: Sequence[Drawn], found: dict[int, int], value: Callable[[Drawn], str]
) -> None:
    """Pair those of equal value in their order; an empty value is equal to none."""
    taken = set(found.values())
    waiting: defaultdict[str, deque[int]] = defaultdict(deque)
    for j, new in enumerate(news):
        if j not in taken and value(new):
            waiting[value(new)].append(j)
    for i, old in enumerate(olds):
        if i not in found and waiting.get(value(old)):
            found[i] = waiting[value(old)].popleft()


def _match_between(olds: int, news: int, found: dict[int, int]) -> None:
    """Pair in their order those that follow the same pair."""
    waiting: defaultdict[int, deque[int]] = defaultdict(deque)
    taken = set(found.values())
    for j, gap in _gaps(news, taken):
        waiting[gap].append(j)
    partner = dict(found)
    for i, gap in _gaps(olds, set(partner)):
        room = waiting[partner.get(gap, -1)]
        if room:
            found[i] = room.popleft()


def _gaps(count: int, taken: set[int]) -> Iterator[tuple[int, int]]:
    """Each that is not taken, with the last taken one before it, -1 when there is none."""
    last = -1
    for n in range(count):
        if n in taken:
            last = n
        else:
            yield n, last
