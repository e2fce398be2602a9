"""General diagnosis: what cannot all be healthy, and the smallest sets of faulty components that explain it.

Values are derived from what was observed along with the components that had to be healthy for it. Two values of one
variable that differ are a conflict: not all of those components are healthy. A diagnosis has at least one component of every
conflict.

Sources: J. de Kleer and B. C. Williams, Diagnosing multiple faults, Artificial Intelligence 32 (1987) 97-130;
R. Reiter, A theory of diagnosis from first principles, Artificial Intelligence 32 (1987) 57-95.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import isclose

Components = frozenset[str]


@dataclass(frozen=True, slots=True)
class Relation:
    """What a healthy component lets one conclude.

    Args:
        component: it has to be healthy.
        result: the variable concluded.
        given: the variables that it is concluded from.
        compute: from their values; None where nothing follows.
    """

    component: str
    result: str
    given: tuple[str, ...]
    compute: Callable[..., float | None]


def minimal_conflicts(relations: Sequence[Relation], observed: Mapping[str, float]) -> tuple[Components, ...]:
    """The smallest sets of components that cannot all be healthy, small sets first.

    Args:
        relations: of all components, in every direction in which something follows.
        observed: values of variables.
    """
    using: dict[str, list[Relation]] = {}
    for relation in relations:
        for name in relation.given:
            using.setdefault(name, []).append(relation)
    values = _Values()
    waiting = deque(name for name, value in observed.items() if values.add(name, value, frozenset()))
    while waiting:
        for relation in using.get(waiting.popleft(), ()):
            for value, healthy in list(_concluded(relation, values)):
                if values.add(relation.result, value, healthy):
                    waiting.append(relation.result)
    return _sorted(values.conflicts)


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


class _Values:
    """Every value of every variable with the smallest sets of components that it rests on."""

    def __init__(self) -> None:
        self.known: dict[str, list[tuple[float, Components]]] = {}
        self.conflicts: list[Components] = []

    def add(self, name: str, value: float, healthy: Components) -> bool:
        """Whether this says anything new."""
        if any(conflict <= healthy for conflict in self.conflicts):
            return False
        known = self.known.setdefault(name, [])
        if any(same(value, other) and rests_on <= healthy for other, rests_on in known):
            return False
        known[:] = [(v, h) for v, h in known if not (same(v, value) and healthy <= h)]
        known.append((value, healthy))
        clashes = [healthy | rests_on for other, rests_on in known if not same(value, other)]
        if clashes:
            self.conflicts = _minimal([*self.conflicts, *clashes])
        return True


def same(one: float, two: float) -> bool:
    """Whether two values are one."""
    return isclose(one, two, rel_tol=1e-9, abs_tol=1e-9)


def _concluded(relation: Relation, values: _Values) -> Iterator[tuple[float, Components]]:
    for chosen in product(*(values.known.get(name, ()) for name in relation.given)):
        value = relation.compute(*(v for v, _ in chosen))
        if value is not None:
            yield value, frozenset({relation.component}).union(*(healthy for _, healthy in chosen))


def _minimal(sets: Iterable[Components]) -> list[Components]:
    kept: list[Components] = []
    for one in sorted(set(sets), key=len):
        if not any(other <= one for other in kept):
            kept.append(one)
    return kept


def _sorted(sets: Iterable[Components]) -> tuple[Components, ...]:
    return tuple(sorted(sets, key=lambda one: (len(one), sorted(one))))
