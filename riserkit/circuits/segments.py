"""Elements whose current is piecewise linear in their voltage, as tables of three segments.

Each of them has current i = g v + c on one of three segments: below `v_lower`, between, above `v_upper`.

    source        below E - R I_limit: gives I_limit; above: (v - E) / R, so that it also takes current back
    diode         above v_forward: (v - v_forward) / r_on; below: nothing
    suppressor    beyond ±v_clamp: (|v| - v_clamp) / r_on; between: nothing
    current load  above v_min: i_a; from 0 to v_min in proportion; reversed: nothing
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from riserkit.circuits.elimination import BoolArray, FloatArray, IntArray
from riserkit.circuits.netlist import ElementKind
from riserkit.circuits.topology import Topology
from riserkit.circuits.values import R_FLOOR_OHM

V_RAMP_V = 0.01
"""A current load without `v_min_v` draws in proportion below this: nothing at 0 V, all of it from here on."""

_TIE_V = 1e-11  # closer to a threshold than this, both segments give the same current

SegmentArray = npt.NDArray[np.int8]


@dataclass(slots=True)
class Segments:
    """Tables of all piecewise-linear elements.

    Attributes:
        lower: threshold between segments 0 and 1 in volts, shape (elements, rows).
        upper: threshold between segments 1 and 2.
        g: conductance in siemens, shape (3, elements, rows).
        c: current at 0 V in amperes, shape (3, elements, rows).
    """

    lower: FloatArray
    upper: FloatArray
    g: FloatArray
    c: FloatArray

    def take(self, keep: IntArray) -> Segments:
        """The rows to keep."""
        return Segments(*(each.take(keep, axis=-1) for each in (self.lower, self.upper, self.g, self.c)))

    def at(self, segment: SegmentArray) -> tuple[FloatArray, FloatArray]:
        """Conductance and current at 0 V on the given segments, both of shape (elements, rows)."""
        low, high = segment == 0, segment == 2
        g, c = self.g[1].copy(), self.c[1].copy()
        for which, table in ((low, 0), (high, 2)):
            if which.any():
                g[which] = self.g[table][which]
                c[which] = self.c[table][which]
        return g, c

    def wrong(self, segment: SegmentArray, v: FloatArray) -> tuple[BoolArray, SegmentArray]:
        """Which elements stand on the wrong segment for their voltage, and the next one towards the right one."""
        above, below = v > self.upper, v < self.lower
        right = (1 + above.astype(np.int8) - below.astype(np.int8)).astype(np.int8)
        wrong = right != segment
        # One segment at a time: a load that jumps from full current to none and back would never settle between.
        right = np.where(wrong, segment + np.sign(right - segment), right).astype(np.int8)
        if wrong.any():
            # At a threshold both of its segments give the same current, so either is right.
            wrong &= ~((np.abs(v - self.upper) <= _TIE_V) & (segment >= 1))
            wrong &= ~((np.abs(v - self.lower) <= _TIE_V) & (segment <= 1))
        return wrong, right


_Table = tuple[FloatArray | float, FloatArray | float, tuple[FloatArray | float, ...], tuple[FloatArray | float, ...]]


def _source(p: FloatArray, source_v: FloatArray) -> _Table:
    r = np.maximum(p[3], R_FLOOR_OHM)
    endless = np.isinf(p[4])
    limit = np.where(endless, 0.0, p[4])
    # a source of infinite resistance gives nothing, and so never reaches its limit
    endless |= np.isinf(r)
    lower = np.where(endless, -np.inf, source_v - limit * np.where(endless, 0.0, r))
    return lower, np.inf, (0.0, 1.0 / r, 1.0 / r), (-limit, -source_v / r, -source_v / r)


def _current_load(p: FloatArray, _: FloatArray) -> _Table:
    ramp_v = np.maximum(p[1], V_RAMP_V)
    return 0.0, ramp_v, (0.0, p[0] / ramp_v, 0.0), (0.0, 0.0, p[0])


def _diode(p: FloatArray, _: FloatArray) -> _Table:
    g = 1.0 / np.maximum(p[1], R_FLOOR_OHM)
    return -np.inf, p[0], (0.0, 0.0, g), (0.0, 0.0, -p[0] * g)


def _suppressor(p: FloatArray, _: FloatArray) -> _Table:
    g = 1.0 / p[1]
    return -p[0], p[0], (g, 0.0, g), (p[0] * g, 0.0, -p[0] * g)


_TABLES: Mapping[ElementKind, tuple[int, int, Callable[[FloatArray, FloatArray], _Table]]] = {
    ElementKind.SOURCE: (5, 1, _source),
    ElementKind.CURRENT_LOAD: (2, 2, _current_load),
    ElementKind.DIODE: (2, 1, _diode),
    ElementKind.SUPPRESSOR: (2, 1, _suppressor),
}
"""By kind: how many parameters its table reads, the segment it starts on, the table itself."""


def segmented(topology: Topology) -> tuple[int, ...]:
    """Indices of the piecewise-linear elements."""
    return tuple(k for k, b in enumerate(topology.elements) if b.kind in _TABLES)


def segments_of(topology: Topology, params: FloatArray, level: npt.NDArray[np.int8]) -> tuple[Segments, SegmentArray]:
    """Tables and first segments of all piecewise-linear elements.

    Args:
        topology: the structure.
        params: values, one column a row of the batch.
        level: source level of each row.
    """
    which = segmented(topology)
    rows = params.shape[1]
    tables = Segments(
        np.empty((len(which), rows)),
        np.empty((len(which), rows)),
        np.empty((3, len(which), rows)),
        np.empty((3, len(which), rows)),
    )
    first = np.ones((len(which), rows), dtype=np.int8)
    everyone = np.arange(rows)
    for k, element in enumerate(which):
        branch = topology.elements[element]
        if branch.kind is None:
            continue
        n_params, start, table = _TABLES[branch.kind]
        p = params[branch.offset : branch.offset + n_params]
        source_v = p[level, everyone] if branch.kind is ElementKind.SOURCE else p[0]
        first[k] = start
        tables.lower[k], tables.upper[k], gs, cs = table(p, source_v)
        for segment in range(3):
            tables.g[segment, k] = gs[segment]
            tables.c[segment, k] = cs[segment]
    return tables, first
