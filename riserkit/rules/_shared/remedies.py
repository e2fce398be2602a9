"""What makes a door work that has no suitable wiring: the least change that does, found by trying it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import combinations, islice
from typing import Final

from riserkit.design import Design, DoorDesign
from riserkit.model.run_ends import ends_at
from riserkit.model.site import Site
from riserkit.rules._shared.door_changes import Change, changes
from riserkit.wiring.choose.choose import choose
from riserkit.wiring.choose.judge import Temperatures
from riserkit.wiring.needs import NeedReader
from riserkit.wiring.values import Candidate, DoorWiring

# How much is tried for doors with the same parts, and for how many kinds of doors, so that a large site is not held up.
_PAIRS_TRIED: Final = 60
_KINDS_TRIED: Final = 60


def working_changes(design: Design, doors: Sequence[DoorDesign]) -> Mapping[str, str]:
    """The remedy of each door that has one, by mark: an instruction, and how the door is wired then.

    A change is tried by working out the wiring of the door anew. One change that does is preferred to two; of those that
    take the same the one with the simplest wiring is named. Doors with the same parts are tried side by side.

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
    found: dict[str, str] = {}
    for alike in islice(kinds.values(), _KINDS_TRIED):
        found.update(_group_changes(design, alike))
    return found


def _group_changes(design: Design, doors: Sequence[DoorDesign]) -> Iterator[tuple[str, str]]:
    left = {door.mark: door for door in doors}
    for same_cost in _by_cost(_tries(changes(design, doors[0]))):
        best: dict[str, tuple[float, float, str]] = {}
        for change in same_cost:
            note = f" {change.note}" if change.note else ""
            for mark, candidate in _tried(design, list(left.values()), change):
                words = f"{change.words}; it is then wired as {candidate.arrangement}.{note}"
                this = (candidate.cost, change.unlike, words)
                best[mark] = min(this, best.get(mark, this))
        for mark, (*_, words) in best.items():
            del left[mark]
            yield mark, words
        if not left:
            return


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


def _by_cost(tries: Iterable[Change]) -> Iterator[list[Change]]:
    same: list[Change] = []
    for change in tries:
        if same and change.cost != same[0].cost:
            yield same
            same = []
        same.append(change)
    if same:
        yield same


def _tried(design: Design, doors: Sequence[DoorDesign], change: Change) -> Iterator[tuple[str, Candidate]]:
    """Doors that work with the change, each with its wiring then."""
    # Only these doors are looked at: the rest of the site's openings need not be copied for each try.
    alone = design.site.model_copy(update={"openings": tuple(door.opening for door in doors)})
    site = change.apply(alone, [door.mark for door in doors])
    reader = NeedReader(site, design.router.route)
    needs = [reader.need(site.opening[d.mark], d.placement, d.cable, "") for d in doors]
    at = Temperatures(site.info.coldest_c, site.info.pathway_c)
    for door, wiring in zip(doors, choose(needs, design.arrangements, at), strict=True):
        if wiring.chosen is not None and wiring.chosen.feasible and _unknown(wiring) <= _unknown(door.wiring):
            yield door.mark, wiring.chosen


def _unknown(wiring: DoorWiring) -> set[str]:
    """Tests without data: a change may not trade a failed test for one that nobody can judge."""
    return {reason.name for reason in wiring.drawn.reasons if reason.passed is None} if wiring.drawn else set()
