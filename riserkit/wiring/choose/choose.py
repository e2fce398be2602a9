"""Chooses an arrangement for every opening: in order of cost, the first in which every test passes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from riserkit.circuits.errors import FAILURES, failure_words
from riserkit.quantities.grouping import grouped
from riserkit.wiring.arrangement import BUILDABLE, Arrangement, Choice, CircuitBuild
from riserkit.wiring.choose.judge import Temperatures, solve_side_by_side
from riserkit.wiring.choose.reasons import solved_reasons
from riserkit.wiring.closets import AT_DOOR, OWN_SUPPLY, POE_CABLE, TO_BE_ADDED, closet_place
from riserkit.wiring.need import DoorNeed, SupplyOffer
from riserkit.wiring.reason import Reason
from riserkit.wiring.unstated import STATED_VALUES, unstated
from riserkit.wiring.values import Candidate, DoorVoltages, DoorWiring

# Steps of the cost order, in the same arbitrary unit as an arrangement's rank: a thicker cable is the least, bringing
# power from the closet more, adding a supply at the door most.
GAUGE_STEP = 1.0
CLOSET_STEP = 3.0
NEW_SUPPLY_STEP = 6.0
# The one test that copper mends: an option that fails any other is not tried again with a thicker cable, unless everything
# is to be explained.
THICKER_HELPS = "lock-voltage-low"
# Tests that say an arrangement is not meant for such a door, rather than that something could be corrected.
NOT_MEANT = frozenset({"peripherals", "own-supply", "magnet", "lock-output"})


@dataclass(frozen=True, slots=True)
class _Option:
    """A candidate before it is solved, for every opening of a group alike."""

    arrangement: Arrangement
    cable_place: int
    supply_place: int
    cost: float


@dataclass(frozen=True, slots=True)
class _Tried:
    """A solved candidate with what it takes to build its circuit."""

    candidate: Candidate
    arrangement: Arrangement
    choice: Choice


def choose(
    needs: Sequence[DoorNeed], arrangements: Sequence[Arrangement], at: Temperatures, *, everything: bool = False
) -> tuple[DoorWiring, ...]:
    """The wiring of every opening, in the order given.

    Args:
        needs: what each opening asks for.
        arrangements: the ones to be considered.
        at: conductor temperatures.
        everything: also judge what comes after the first that is feasible, to explain it.
    """
    groups = grouped((need.spec, place) for place, need in enumerate(needs))
    found: dict[int, DoorWiring] = {}
    for places in groups.values():
        members = [needs[p] for p in places]
        found.update(zip(places, _choose_with_fallback(members, arrangements, at, everything), strict=True))
    return tuple(found[place] for place in range(len(needs)))


def _choose_with_fallback(
    needs: list[DoorNeed], arrangements: Sequence[Arrangement], at: Temperatures, everything: bool
) -> list[DoorWiring]:
    """The wiring of openings side by side; where that fails door by door, and of one that fails alone why it does."""
    try:
        return list(_choose_group(needs, arrangements, at, everything))
    except FAILURES as error:
        if len(needs) == 1:
            return [DoorWiring(needs[0].opening.mark, None, (), DoorVoltages(), failure=failure_words(error))]
    return [wiring for need in needs for wiring in _choose_with_fallback([need], arrangements, at, everything)]


def _choose_group(
    needs: list[DoorNeed], arrangements: Sequence[Arrangement], at: Temperatures, everything: bool
) -> Iterator[DoorWiring]:
    first = needs[0]
    if first.missing:
        yield from (_not_designed(need) for need in needs)
        return
    forced = first.opening.arrangement
    admitted = [a for a in arrangements if not forced or a.name == forced]
    if forced and not admitted:
        known = ", ".join(sorted(a.name for a in arrangements))
        yield from (_not_designed(need, f"an arrangement of the name {forced!r} (known: {known})") for need in needs)
        return
    screened = {a.name: (*_common(first), *a.screen(first)) for a in arrangements}
    built = [a for a in admitted if not _failed(screened[a.name])]
    if forced or not built:
        # Drawn all the same, so that the rules can speak of it and the nearest miss has numbers.
        built = [a for a in admitted if _failed(screened[a.name]) <= BUILDABLE]
    if everything:
        built += [a for a in arrangements if a not in built and not _failed(screened[a.name])]
    out = tuple(_screened_out(a, first, screened[a.name]) for a in arrangements
                if a not in built and _failed(screened[a.name]))  # fmt: skip
    options = sorted((o for a in built for o in _options(a, first)), key=lambda o: (o.cost, o.arrangement.name))
    judged = _judge(needs, options, screened, at, everything)
    for need, tried in zip(needs, judged, strict=True):
        yield _decide(need, out, tried)


def _failed(reasons: Sequence[Reason]) -> set[str]:
    return {reason.name for reason in reasons if reason.passed is False}


def _common(need: DoorNeed) -> tuple[Reason, ...]:
    """Can this lock do what is wanted without power?"""
    lock, wanted = need.lock, need.opening.fail_mode
    if lock is None or wanted is None:
        return ()
    same = lock.action in ("", wanted)
    return (Reason("lock-action", same, f"the lock is {lock.action or 'settable'}, {wanted} is required"),)


def _options(arrangement: Arrangement, need: DoorNeed) -> Iterator[_Option]:
    for supply_place, supply in enumerate(arrangement.supplies(need)):
        for cable_place in range(len(need.lock_cables)):
            cost = arrangement.rank + GAUGE_STEP * cable_place + _supply_cost(supply)
            yield _Option(arrangement, cable_place, supply_place, cost)


def _supply_cost(supply: SupplyOffer | None) -> float:
    if supply is None or (not supply.closet and supply.supply_id):
        return 0.0
    return NEW_SUPPLY_STEP if not supply.closet else CLOSET_STEP


def _judge(
    needs: list[DoorNeed],
    options: list[_Option],
    screened: dict[str, tuple[Reason, ...]],
    at: Temperatures,
    everything: bool,
) -> list[list[_Tried]]:
    tried: list[list[_Tried]] = [[] for _ in needs]
    undecided = set(range(len(needs)))
    hopeless: dict[tuple[str, int], set[int]] = {}
    for option in options:
        feed = (option.arrangement.name, option.supply_place)
        places = sorted(undecided - hopeless.get(feed, set()))
        if not places:
            continue
        for k, one in zip(places, _try([needs[k] for k in places], option, screened, at), strict=True):
            tried[k].append(one)
            failed = _failed(one.candidate.reasons)
            if everything:
                continue
            if not failed:
                undecided.remove(k)
            elif failed - {THICKER_HELPS}:
                hopeless.setdefault(feed, set()).add(k)
    return tried


def _try(
    members: list[DoorNeed], option: _Option, screened: dict[str, tuple[Reason, ...]], at: Temperatures
) -> Iterator[_Tried]:
    """One option for openings side by side; where that fails door by door, and of one that fails alone why it does."""
    try:
        yield from list(_solve(members, option, screened, at))
        return
    except FAILURES as error:
        why = failure_words(error)
    if len(members) > 1:
        for need in members:
            yield from _try([need], option, screened, at)
        return
    reason = Reason("computed", False, f"its circuit cannot be solved: {why}")
    choice = _choice(option, members[0])
    before = screened[option.arrangement.name]
    candidate = _candidate(option, members[0], choice, (*before, reason), DoorVoltages(), "")
    yield _Tried(replace(candidate, voltages=None), option.arrangement, choice)


def _solve(
    members: list[DoorNeed], option: _Option, screened: dict[str, tuple[Reason, ...]], at: Temperatures
) -> Iterator[_Tried]:
    arrangement = option.arrangement
    choices = [_choice(option, need) for need in members]
    template = arrangement.build(members[0], choices[0])
    before = screened[arrangement.name]
    volts: Sequence[DoorVoltages]
    reasons: Sequence[tuple[Reason, ...]]
    if missing := unstated(template.netlist, members[0].parts):
        what = f"not computed, its parts do not state: {'; '.join(missing)}"
        volts = [DoorVoltages()] * len(members)
        reasons = [(Reason(STATED_VALUES, None, what),)] * len(members)
    else:
        volts = solve_side_by_side(members, choices, template, at)
        reasons = solved_reasons(members[0], template, choices[0], volts)
    for choice, v, solved in zip(choices, volts, reasons, strict=True):
        yield _Tried(
            _candidate(option, members[0], choice, (*before, *map(_one_reason, solved)), v, template.powered_part),
            arrangement,
            choice,
        )


@lru_cache(maxsize=16384)
def _one_reason(reason: Reason) -> Reason:
    """The same for all that are equal: a large site has a dozen for each candidate of every door."""
    return reason


def _choice(option: _Option, need: DoorNeed) -> Choice:
    offers = option.arrangement.supplies(need)
    return Choice(need.lock_cables[option.cable_place], offers[option.supply_place])


def _candidate(
    option: _Option, need: DoorNeed, choice: Choice, reasons: tuple[Reason, ...], volts: DoorVoltages, powered_part: str
) -> Candidate:
    unsupplied = OWN_SUPPLY if need.lock is not None and need.lock.own_supply else POE_CABLE
    supply_at = (closet_place(choice.supply.closet) or AT_DOOR) if choice.supply else unsupplied
    if choice.supply is not None and not choice.supply.supply_id:
        supply_at = TO_BE_ADDED
    arrangement = option.arrangement
    return Candidate(
        arrangement.name,
        arrangement.title,
        choice.lock_cable.id,
        supply_at,
        option.cost,
        reasons,
        volts,
        powered_part,
        choice.supply.supply_id if choice.supply else "",
    )


def _screened_out(arrangement: Arrangement, need: DoorNeed, reasons: tuple[Reason, ...]) -> Candidate:
    return Candidate(arrangement.name, arrangement.title, need.lock_cables[0].id, "", arrangement.rank, reasons)


def _decide(need: DoorNeed, out: tuple[Candidate, ...], tried: list[_Tried]) -> DoorWiring:
    forced = bool(need.opening.arrangement)
    allowed = [t for t in tried if not forced or t.candidate.arrangement == need.opening.arrangement]
    best = next((t for t in allowed if t.candidate.feasible), None)
    # A circuit that cannot be computed is not drawn either.
    computed = [t for t in allowed if t.candidate.voltages is not None]
    nearest = min(computed, key=_miss, default=None) if best is None else None
    chosen = best or (nearest if forced else None)
    drawn = best or nearest
    named = tuple(c for c in out if not forced or c.arrangement == need.opening.arrangement)
    return DoorWiring(
        mark=need.opening.mark,
        chosen=chosen.candidate if chosen else None,
        considered=(*(t.candidate for t in tried), *out),
        voltages=(drawn.candidate.voltages or DoorVoltages()) if drawn else DoorVoltages(),
        build=CircuitBuild(drawn.arrangement, need, drawn.choice) if drawn else None,
        nearest=_nearest(nearest, (*(t.candidate for t in allowed if nearest is None), *named))
        if chosen is None
        else None,
        forced=forced,
    )


def _nearest(nearest: _Tried | None, out: tuple[Candidate, ...]) -> Candidate | None:
    if nearest is not None:
        return nearest.candidate
    return min(out, key=_misfit, default=None)


def _misfit(candidate: Candidate) -> tuple[bool, int, float]:
    """(not meant for such a door at all, tests failed, cost)."""
    failed = candidate.failed
    return any(reason.name in NOT_MEANT for reason in failed), len(failed), candidate.cost


def _miss(tried: _Tried) -> tuple[float, float]:
    """(how far beyond their limits its tests are, as a sum of fractions; a test without a number counts 1; cost)."""
    beyond = 0.0
    for reason in tried.candidate.failed:
        numeric = reason.value is not None and reason.limit
        beyond += abs((reason.value or 0.0) / reason.limit - 1.0) if numeric and reason.limit else 1.0
    return beyond, tried.candidate.cost


def _not_designed(need: DoorNeed, extra: str = "") -> DoorWiring:
    missing = (*need.missing, extra) if extra else need.missing
    return DoorWiring(need.opening.mark, None, (), DoorVoltages(), missing=missing)
