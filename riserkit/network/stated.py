"""The user's own runs, found by their ends whichever way round they are written."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from riserkit.model.cabling import LengthBasis, Run
from riserkit.model.site import Site

_SUREST = tuple(LengthBasis)


@dataclass(frozen=True)
class StatedRuns:
    """Runs between closets and openings, in the order of the input.

    Args:
        horizontal: by (closet id, mark); an end `MARK/controller` counts as the opening.
        backbone: by (closet id, closet id), ids sorted.
    """

    horizontal: Mapping[tuple[str, str], tuple[Run, ...]]
    backbone: Mapping[tuple[str, str], tuple[Run, ...]]

    @cached_property
    def _by_mark(self) -> Mapping[str, tuple[tuple[str, Run], ...]]:
        found: dict[str, tuple[tuple[str, Run], ...]] = {}
        for (closet, mark), runs in self.horizontal.items():
            found[mark] = found.get(mark, ()) + tuple((closet, run) for run in runs)
        return MappingProxyType(found)

    @classmethod
    def of(cls, site: Site) -> StatedRuns:
        """The runs of a site; those between devices of one opening belong to its wiring and are left out."""
        horizontal: dict[tuple[str, str], tuple[Run, ...]] = {}
        backbone: dict[tuple[str, str], tuple[Run, ...]] = {}
        for run in site.runs:
            a, b = (end.removesuffix("/controller") for end in (run.from_end, run.to_end))
            if a in site.closet and b in site.closet:
                key = (min(a, b), max(a, b))
                backbone[key] = (*backbone.get(key, ()), run)
            elif a in site.closet and b in site.opening:
                horizontal[a, b] = (*horizontal.get((a, b), ()), run)
            elif b in site.closet and a in site.opening:
                horizontal[b, a] = (*horizontal.get((b, a), ()), run)
        return cls(MappingProxyType(horizontal), MappingProxyType(backbone))

    def between(self, closet: str, mark: str) -> tuple[Run, ...]:
        """Runs between a closet and an opening."""
        return self.horizontal.get((closet, mark), ())

    def closets_of(self, mark: str) -> tuple[tuple[str, Run], ...]:
        """Runs to an opening with the closets that they come from, in the order of the input."""
        return self._by_mark.get(mark, ())

    def between_closets(self, a: str, b: str) -> tuple[Run, ...]:
        """Runs between two closets."""
        return self.backbone.get((min(a, b), max(a, b)), ())


def surest(runs: Iterable[Run]) -> Run | None:
    """The run whose length is known best, measured before stated, the first of equals; None without any length."""
    known = [run for run in runs if run.length_m is not None]
    return min(known, key=lambda run: _SUREST.index(LengthBasis(run.basis)), default=None)
