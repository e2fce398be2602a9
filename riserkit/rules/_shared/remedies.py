"""What makes a door work that has no suitable wiring: the least change that does, found by trying it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import combinations, islice
from typing import Final

from riserkit.design import Design, DoorDesign
from riserkit.kept import NOTHING_KEPT, value_digest
from riserkit.model.opening import Opening
from riserkit.model.run_ends import ends_at
from riserkit.model.site import Site
from riserkit.rules._shared.door_changes import Change, changes
from riserkit.wiring.choose.choose import choose
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.need import DoorNeed
from riserkit.wiring.needs import NeedReader
from riserkit.wiring.values import DoorWiring

_REMEDIES: Final = "remedies"
_NOT_ASKED: Final = frozenset(
    {"openings", "rooms", "walls", "issued_labels", "acceptances", "confirmations", "revisions", "reels"}
)
"""Tables that no change is made of and no wiring is chosen by."""
# How much is tried for doors with the same parts, and for how many kinds of doors, so that a large site is not held up.
_PAIRS_TRIED: Final = 60
_KINDS_TRIED: Final = 60


def working_changes(design: Design, doors: Sequence[DoorDesign]) -> Mapping[str, str]:
    """The remedy of each door that has one, by mark: an instruction, and how the door is wired then.

    A change is tried by working out the wiring of the door anew. One change that does is preferred to two; of those that
    take the same one that uses the supply stated, and then the one with the simplest wiring, is named. Doors with the same
    parts are tried side by side.

    Args:
        design: the design.
        doors: those without a suitable wiring.
    """
    kinds: dict[tuple[object, ...], list[DoorDesign]] = {}
    reader = NeedReader(design.site, design.router.route)
    for door in doors:
        need = reader.need(door.opening, door.placement, door.cable, "")
        at = (door.placement.switch, door.placement.closet) if door.placement else ()
        runs = tuple(run.id for run in design.site.runs if ends_at(run, door.mark))
        kinds.setdefault((need.spec, at, door.opening.supply, runs), []).append(door)
    temperatures = Temperatures.of(design.site.info)
    rest = _rests_on(design) if kinds else ""
    # where not all of that is data, nothing is known to be the same
    kept = design.kept if rest else NOTHING_KEPT
    found: dict[str, str] = {}
    searches: list[_ChangeSearch] = []
    for alike in islice(kinds.values(), _KINDS_TRIED):
        values = rest, [_asked(design, door) for door in alike]
        known = kept.found(_REMEDIES, values, dict)
        if known is None:
            searches.append(_ChangeSearch(design, alike, values))
        else:
            found.update(known)
    while searches:
        asked = [(search, search.next_needs()) for search in searches]
        # No change is one of parts, lists or temperatures: doors asked alike are worked out together, whatever was changed.
        wirings = iter(choose([need for _, needs in asked for need in needs], design.arrangements, temperatures))
        for search, needs in asked:
            search.judge(islice(wirings, len(needs)))
            if not needs:
                found.update(search.found)
                kept.keep(_REMEDIES, search.rests_on, search.found, dict, dict)
        searches = [search for search, needs in asked if needs]
    return found


def _rests_on(design: Design) -> str:
    """A digest of what a change may be made of, or be judged by, at any door: all tables but those of openings and papers.

    Empty where not all of that is data.
    """
    site = design.site
    tables = {name: getattr(site, name) for name in type(site).model_fields if name not in _NOT_ASKED}
    return value_digest((tables, [arrangement.name for arrangement in design.arrangements]))


def _asked(design: Design, door: DoorDesign) -> object:
    """What changes of one door are tried on, and what else is fed from its supply."""
    supply = door.opening.supply
    fed = [d.mark for d in design.doors if d.wiring.drawn and d.wiring.drawn.supply_id == supply] if supply else []
    openings = _openings(design.site, [door])
    return openings, door.placement, door.cable, sorted(_unknown(door.wiring)), fed


def _openings(site: Site, doors: Sequence[DoorDesign]) -> tuple[Opening, ...]:
    """These openings, and those that the supplies stand at which they state: a length is taken from there."""
    supplies = (site.supply.get(door.opening.supply) for door in doors)
    at = (supply.opening for supply in supplies if supply is not None and supply.opening)
    return tuple(site.opening[mark] for mark in dict.fromkeys((*(door.mark for door in doors), *at)))


class _ChangeSearch:
    """The changes tried at doors with the same parts, one after the other, the least first."""

    def __init__(self, design: Design, doors: Sequence[DoorDesign], rests_on: object) -> None:
        self.found: dict[str, str] = {}
        self.rests_on = rests_on
        self._design = design
        self._left = {door.mark: door for door in doors}
        self._tries = _tries(changes(design, doors[0]))
        self._change: Change | None = None
        self._best: dict[str, tuple[bool, float, float, str]] = {}

    def next_needs(self) -> list[DoorNeed]:
        """What each door still without a remedy asks of its wiring after the next change; none at the end."""
        before, self._change = self._change, next(self._tries, None)
        if self._change is None or (before is not None and before.cost != self._change.cost):
            for mark, (*_, words) in self._best.items():
                self.found[mark] = words
                del self._left[mark]
            self._best.clear()
        return _changed(self._design, list(self._left.values()), self._change) if self._change and self._left else []

    def judge(self, wirings: Iterable[DoorWiring]) -> None:
        """Take the wiring of each of these doors with the change."""
        for door, wiring in zip(self._left.values(), wirings, strict=False):
            chosen, change = wiring.chosen, self._change
            if change and chosen and chosen.feasible and _unknown(wiring) <= _unknown(door.wiring):
                note = f" {change.note}" if change.note else ""
                words = f"{change.words}; it is then wired as {chosen.arrangement}.{note}"
                # who states a supply means it to be used
                unused = bool(door.opening.supply) and not chosen.supply_id
                this = (unused, chosen.cost, change.unlike, words)
                self._best[door.mark] = min(this, self._best.get(door.mark, this))


def _tries(single: Sequence[Change]) -> Iterator[Change]:
    yield from single
    pairs = [_both(a, b) for a, b in combinations(single, 2) if a.what != b.what]
    yield from sorted(pairs, key=lambda c: (c.cost, c.words))[:_PAIRS_TRIED]


def _both(first: Change, second: Change) -> Change:
    def apply(site: Site, marks: Sequence[str]) -> Site:
        return second.apply(first.apply(site, marks), marks)

    words = f"{first.words}, and {second.words[:1].lower()}{second.words[1:]}"
    return Change(
        f"{first.what} and {second.what}",
        words,
        first.cost + second.cost,
        apply,
        first.note or second.note,
        first.unlike + second.unlike,
    )


def _changed(design: Design, doors: Sequence[DoorDesign], change: Change) -> list[DoorNeed]:
    """What each of these doors asks of its wiring after the change."""
    # Only these doors are looked at: the rest of the site's openings need not be copied for each try.
    alone = design.site.model_copy(update={"openings": _openings(design.site, doors)})
    site = change.apply(alone, [door.mark for door in doors])
    reader = NeedReader(site, design.router.route)
    return [reader.need(site.opening[d.mark], d.placement, d.cable, "") for d in doors]


def _unknown(wiring: DoorWiring) -> set[str]:
    """Tests without data: a change may not trade a failed test for one that nobody can judge."""
    return {reason.name for reason in wiring.drawn.reasons if reason.passed is None} if wiring.drawn else set()
