"""Cables that share a way drawn as one line: pieces of ways that lie on one another, cut where their number changes."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from riserkit.drawings.dxf.boxes import Point
from riserkit.drawings.plan.values import Strand

_Key = tuple[bool, float, float]


@dataclass(frozen=True, slots=True)
class BundleStretch:
    """A line with the cables on it; `subject` is the cable's own where there is one, else empty."""

    start_m: Point
    end_m: Point
    cables: int
    subject: str


def stretches(strands: Sequence[Strand]) -> tuple[BundleStretch, ...]:
    """Strands of one kind merged where they lie on one another, so that every point is drawn once.

    Examples:
        >>> a, b = Strand("a", (0, 0), (10, 0)), Strand("b", (10, 0), (4, 0))
        >>> [(s.start_m, s.end_m, s.cables) for s in stretches([a, b])]
        [((0, 0), (4, 0), 1), ((4, 0), (10, 0), 2)]
    """
    lines: dict[_Key, list[tuple[Point, Point, str]]] = {}
    for strand in strands:
        steep = abs(strand.end_m[1] - strand.start_m[1]) > abs(strand.end_m[0] - strand.start_m[0])
        start, end = sorted((strand.start_m, strand.end_m), key=lambda p: p[steep])
        lines.setdefault(_line_of(start, end, steep=steep), []).append((start, end, strand.subject))
    return tuple(stretch for key in sorted(lines) for stretch in _along(lines[key], steep=key[0]))


def _line_of(start: Point, end: Point, *, steep: bool) -> _Key:
    """The line two points lie on: which coordinate runs, slope of the other over it, and where it starts."""
    run, rise = (1, 0) if steep else (0, 1)
    slope = (end[rise] - start[rise]) / (end[run] - start[run])
    return steep, round(slope, 4), round(start[rise] - slope * start[run], 3)


def _along(pieces: Sequence[tuple[Point, Point, str]], *, steep: bool) -> Iterator[BundleStretch]:
    points: dict[float, Point] = {}
    changes: dict[float, Counter[str]] = {}
    for start, end, subject in pieces:
        for point, step in ((start, 1), (end, -1)):
            at = round(point[steep], 3)
            points.setdefault(at, point)
            changes.setdefault(at, Counter())[subject] += step
    running: Counter[str] = Counter()
    opened: tuple[Point, tuple[str, ...]] | None = None
    for at in sorted(changes):
        running.update(changes[at])
        now = tuple(sorted(subject for subject, count in running.items() if count > 0))
        if opened is not None and opened[1] != now:
            yield from _stretch(opened[0], points[at], opened[1])
            opened = None
        if opened is None:
            opened = points[at], now


def _stretch(start: Point, end: Point, subjects: tuple[str, ...]) -> Iterator[BundleStretch]:
    if subjects and math.dist(start, end) > 0:
        yield BundleStretch(start, end, len(subjects), subjects[0] if len(subjects) == 1 else "")
