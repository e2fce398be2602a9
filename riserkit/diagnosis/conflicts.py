"""General diagnosis: the smallest sets of faulty components that explain conflicts.

A conflict is a set of components of which not all are healthy. A diagnosis has at least one component of every conflict.

Sources: J. de Kleer and B. C. Williams, Diagnosing multiple faults, Artificial Intelligence 32 (1987) 97-130;
R. Reiter, A theory of diagnosis from first principles, Artificial Intelligence 32 (1987) 57-95.
"""

from __future__ import annotations

from collections.abc import Iterable

Components = frozenset[str]


def minimal_diagnoses(conflicts: Iterable[Components], most: int | None = None) -> tuple[Components, ...]:
    """The smallest sets that have a component of every conflict, small sets first; one empty set where there is no conflict.

    Args:
        conflicts: sets of which not all are healthy.
        most: no diagnosis of more components than this; None for no bound.
    """
    found: list[Components] = [frozenset()]
    for conflict in conflicts:
        hit = [one for one in found if one & conflict]
        grown = [one | {component} for one in found if not one & conflict for component in conflict]
        found = _minimal([*hit, *(one for one in grown if most is None or len(one) <= most)])
    return _sorted(found)


def _minimal(sets: Iterable[Components]) -> list[Components]:
    kept: list[Components] = []
    for one in sorted(set(sets), key=len):
        if not any(other <= one for other in kept):
            kept.append(one)
    return kept


def _sorted(sets: Iterable[Components]) -> tuple[Components, ...]:
    return tuple(sorted(sets, key=lambda one: (len(one), sorted(one))))
