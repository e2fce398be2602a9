"""The wirings that were considered for a door, with the number that decided."""

from __future__ import annotations

from collections.abc import Iterable

from riserkit.page.values import Alternative
from riserkit.wiring.values import Candidate, DoorWiring


def alternatives(wiring: DoorWiring, judged: DoorWiring | None) -> tuple[Alternative, ...]:
    """The selected wiring first, then the others in order of rank.

    One arrangement fed from one place is judged with every lock cable: the first stands for all that come to the same.

    Args:
        wiring: as it is drawn.
        judged: the same opening with every candidate judged; as it is drawn where None.
    """
    considered = (judged or wiring).considered
    drawn = wiring.drawn
    found: dict[tuple[str, str, tuple[str, ...]], Alternative] = {}
    if drawn is not None:
        word = "selected" if wiring.chosen is not None else "closest"
        key = drawn.arrangement, drawn.supply_at, tuple(reason.name for reason in drawn.failed)
        found[key] = Alternative(drawn.title, _how(drawn), word, _failed(drawn), _passed(drawn))  # type: ignore[arg-type]
    for candidate in _others(considered, drawn):
        failed = tuple(reason.name for reason in candidate.failed)
        key = candidate.arrangement, candidate.supply_at, failed
        if key not in found:
            word = "suitable" if candidate.feasible else "not suitable" if failed else "not computed"
            one = Alternative(candidate.title, _how(candidate), word, _failed(candidate), _passed(candidate))  # type: ignore[arg-type]
            found[key] = one
    return tuple(found.values())


def _others(considered: Iterable[Candidate], drawn: Candidate | None) -> Iterable[Candidate]:
    same = None if drawn is None else (drawn.arrangement, drawn.lock_cable, drawn.supply_at)
    return (c for c in considered if (c.arrangement, c.lock_cable, c.supply_at) != same)


def _how(candidate: Candidate) -> str:
    feed = f"lock power from {candidate.supply_at}" if candidate.supply_at else ""
    return "; ".join(filter(None, (f"lock cable {candidate.lock_cable}", feed, f"rank {candidate.cost:g}")))


def _failed(candidate: Candidate) -> tuple[str, ...]:
    return tuple(dict.fromkeys(reason.text for reason in candidate.failed))


def _passed(candidate: Candidate) -> tuple[str, ...]:
    return tuple(dict.fromkeys(reason.text for reason in candidate.reasons if reason.passed is not False))
