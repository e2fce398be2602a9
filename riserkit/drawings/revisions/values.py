"""What a sheet says, and what of it is marked as revised."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

SheetContent = Mapping[str, tuple[str, ...]]
"""Digests of the lines that a sheet says of each thing, by the thing's id in the model; frame and title block left out."""


@dataclass(frozen=True)
class SheetRevisions:
    """What is marked on one sheet.

    Args:
        clouded: by id in the model the lines that the last issue changed.
        deltas: letter of each issue, the last included, with the lines that it changed, in the order of the issues.
    """

    clouded: SheetContent = field(default_factory=dict)
    deltas: tuple[tuple[str, SheetContent], ...] = ()


def new_lines(was: Mapping[str, frozenset[str]], now: SheetContent) -> SheetContent:
    """What is new or says something else, by id. What is gone stands on no sheet to be marked.

    Args:
        was: the lines of the whole set before, by id: one that only stands on another sheet now is not new.
        now: the lines of a sheet.

    Examples:
        >>> new_lines({"cable:1": frozenset("a")}, {"cable:1": ("a",), "cable:2": ("b",)})
        {'cable:2': ('b',)}
    """
    found = {name: tuple(d for d in lines if d not in was.get(name, frozenset())) for name, lines in now.items()}
    return {name: lines for name, lines in found.items() if lines}
