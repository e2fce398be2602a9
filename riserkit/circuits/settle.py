"""Find the segments, the load voltages and the coil positions at which every row of a batch agrees with itself.

Every round solves all open rows once, then moves what disagrees: segments of piecewise-linear elements, Newton's
tangent of constant-power loads, and, once those are quiet, coils. Rows that agree leave the batch.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from riserkit.circuits.elimination import BoolArray, FloatArray, IntArray, Nodes, solve_nodes
from riserkit.circuits.netlist import ElementKind
from riserkit.circuits.rows import BatchRows, switched
from riserkit.circuits.segments import SegmentArray, segmented
from riserkit.circuits.topology import Topology

V_DEAD_V = 1.0
"""A constant-power load that sees less than this without load is taken as unpowered, not as collapsed."""

_NEWTON_DONE = 1e-10  # relative step; the next one would be at rounding
_NEWTON_MOST = 120
_SEGMENTS_TOGETHER = 20  # after this many rounds only the first wrong element moves (least index: cannot cycle)
_ROUNDS_A_PASS = 400
_COILS_TOGETHER = 6  # after this many passes only the first coil moves, so that a mere race is not an oscillation

OFF, RUNNING, COLLAPSED = 0, 1, 2

OSCILLATES, UNSETTLED = 1, 2


@dataclass(slots=True)
class Position:
    """Where the rows stand; every array has one column a row.

    Attributes:
        segment: of each piecewise-linear element.
        load: OFF, RUNNING or COLLAPSED of each power load.
        load_v: voltage at which its tangent touches.
        loaded: rows past the first round, which is solved without power loads.
        coil: coils that are powered.
        coil_low_v: least voltage of each coil, without sign, since its row began to move coils one by one.
        coil_high_v: most of it; both tell what a coil sees in a row that never comes to rest.
        rounds: rounds in this pass.
        passes: passes, one for each move of coils.
        trouble: 0 none, 1 a coil oscillates, 2 segments did not settle.
        culprit: the coil or the element in trouble, or -1.
    """

    segment: SegmentArray
    load: npt.NDArray[np.int8]
    load_v: FloatArray
    loaded: BoolArray
    coil: BoolArray
    coil_low_v: FloatArray
    coil_high_v: FloatArray
    rounds: IntArray
    passes: IntArray
    trouble: npt.NDArray[np.int8]
    culprit: IntArray

    def take(self, keep: BoolArray) -> Position:
        """The rows to keep."""
        return Position(
            self.segment[:, keep],
            self.load[:, keep],
            self.load_v[:, keep],
            self.loaded[keep],
            self.coil[:, keep],
            self.coil_low_v[:, keep],
            self.coil_high_v[:, keep],
            self.rounds[keep],
            self.passes[keep],
            self.trouble[keep],
            self.culprit[keep],
        )


class Solver:
    """The rounds for one structure."""

    def __init__(self, topology: Topology) -> None:
        self.topology = topology
        self.switched = switched(topology)
        self.segmented = segmented(topology)
        self.power = topology.of_kind(ElementKind.POWER_LOAD)
        self.movers = topology.movers
        moving = {b.mover for b in topology.elements}
        self._acting = np.array([k in moving for k in range(len(self.movers))], dtype=np.bool_)[:, None]
        self._a = np.array([b.a for b in topology.branches], dtype=np.int64)
        self._b = np.array([b.b for b in topology.branches], dtype=np.int64)

    def start(self, rows: BatchRows, first: SegmentArray, energised: bool | BoolArray) -> Position:
        """All loads off; coils at rest, all powered, or as said for each row and coil."""
        n = rows.gate.shape[1]
        return Position(
            segment=first,
            load=np.zeros((len(self.power), n), dtype=np.int8),
            load_v=np.ones((len(self.power), n)),
            loaded=np.full(n, not self.power),
            coil=np.array(np.broadcast_to(np.transpose(energised), (len(self.movers), n))),
            coil_low_v=np.full((len(self.movers), n), np.inf),
            coil_high_v=np.zeros((len(self.movers), n)),
            rounds=np.zeros(n, dtype=np.int64),
            passes=np.zeros(n, dtype=np.int64),
            trouble=np.zeros(n, dtype=np.int8),
            culprit=np.full(n, -1, dtype=np.int64),
        )

    def across(self, v: FloatArray, which: tuple[int, ...]) -> FloatArray:
        """Voltage from a to b of the given branches, shape (len(which), rows)."""
        index = list(which)
        across: FloatArray = v[self._a[index]] - v[self._b[index]]
        return across

    def gate(self, rows: BatchRows, at: Position) -> BoolArray:
        """Which elements are in the circuit, with contacts where their coils put them."""
        moved = [k for k, b in enumerate(self.topology.elements) if b.mover >= 0]
        if not moved:
            return rows.gate
        gate = rows.gate.copy()
        for k in moved:
            branch = self.topology.elements[k]
            gate[k] = np.where(rows.held[k], gate[k], at.coil[branch.mover] ^ branch.normally_closed)
        return gate

    def linear(self, rows: BatchRows, at: Position, gate: BoolArray) -> Nodes:
        """Solve every row with things standing as they do."""
        edge_g = rows.edge_g.copy()
        inject_a = np.zeros((len(self.topology.nodes), gate.shape[1]))
        slack_a = np.full(gate.shape[1], 1e-12)
        edges = self.topology.edge_rows
        for k in self.switched:
            if edges[k] >= 0:
                edge_g[edges[k]] += rows.fixed_g[k] * gate[k]
        if self.segmented:
            g, c = rows.segments.at(at.segment)
            self._stamp(self.segmented, g, c, gate, (edge_g, inject_a, slack_a))
        if self.power:
            on = at.load == RUNNING
            self._stamp(
                self.power,
                np.where(on, -rows.p_w / at.load_v**2, 0.0),
                np.where(on, 2.0 * rows.p_w / at.load_v, 0.0),
                gate,
                (edge_g, inject_a, slack_a),
            )
        n_sound = len(self.topology.branches) - len(self.topology.joins)
        for k, join_a in zip(rows.fed, rows.join_a, strict=True):
            branch = self.topology.joins[k]
            if edges[n_sound + k] >= 0:
                inject_a[branch.a] -= join_a
                inject_a[branch.b] += join_a
                slack_a += 1e-11 * np.abs(join_a)
        return solve_nodes(self.topology.plan, edge_g, inject_a, slack_a)

    def _stamp(
        self,
        which: tuple[int, ...],
        g: FloatArray,
        c: FloatArray,
        gate: BoolArray,
        into: tuple[FloatArray, FloatArray, FloatArray],
    ) -> None:
        edge_g, inject_a, slack_a = into
        for k, element in enumerate(which):
            edge = self.topology.edge_rows[element]
            if edge < 0:
                continue
            branch = self.topology.elements[element]
            current_a = c[k] * gate[element]
            edge_g[edge] += g[k] * gate[element]
            inject_a[branch.a] -= current_a
            inject_a[branch.b] += current_a
            slack_a += 1e-11 * np.abs(current_a)

    def advance(self, rows: BatchRows, at: Position, gate: BoolArray, nodes: Nodes) -> BoolArray:
        """Move what disagrees; which rows are done."""
        at.rounds += 1
        quiet = self._move_segments(rows, at, gate, nodes.v)
        if self.power:
            quiet = self._move_loads(rows, at, gate, nodes, quiet)
        stuck = at.rounds > _ROUNDS_A_PASS
        at.trouble[stuck] = UNSETTLED
        return stuck | self._move_coils(rows, at, nodes.v, quiet & ~stuck)

    def _move_segments(self, rows: BatchRows, at: Position, gate: BoolArray, v: FloatArray) -> BoolArray:
        """Put elements on the segment of their voltage; which rows had none to move."""
        if not self.segmented:
            return np.ones(v.shape[1], dtype=np.bool_)
        wrong, right = rows.segments.wrong(at.segment, self.across(v, self.segmented))
        wrong &= gate[list(self.segmented)]
        quiet: BoolArray = ~np.logical_or.reduce(wrong, axis=0)
        if quiet.all():
            return quiet
        at.culprit = np.where(quiet, at.culprit, np.array(self.segmented)[wrong.argmax(axis=0)])
        singly = at.rounds > _SEGMENTS_TOGETHER
        if singly.any():
            later = np.arange(len(self.segmented))[:, None] > wrong.argmax(axis=0)
            wrong &= ~(singly & later)
        at.segment = np.where(wrong, right, at.segment).astype(np.int8)
        return quiet

    def _move_loads(self, rows: BatchRows, at: Position, gate: BoolArray, nodes: Nodes, quiet: BoolArray) -> BoolArray:
        """One Newton step of constant-power loads, from the unloaded voltage downwards, so to the upper root."""
        v = self.across(nodes.v, self.power)
        on = at.load == RUNNING
        start = quiet & ~at.loaded
        failed = nodes.negative | (on & (v <= 0.0)).any(axis=0) | (at.rounds > _NEWTON_MOST)
        failed &= at.loaded & on.any(axis=0)
        step = np.where(on, np.abs(v - at.load_v) > _NEWTON_DONE * np.abs(v), False).any(axis=0)
        settled = at.loaded & ~failed & quiet & ~step
        starved = settled & on & (v < rows.p_min_v)
        low = on & failed & (v < 0.6 * at.load_v)
        low |= on & failed & ~low.any(axis=0)
        at.load_v = np.where(on & ~low & ~failed, np.where(v > 0.0, v, at.load_v), at.load_v)
        at.load = np.where(low, COLLAPSED, np.where(starved, OFF, at.load)).astype(np.int8)
        able = start & (v > V_DEAD_V) & (v >= rows.p_min_v) & gate[list(self.power)] & (rows.p_w > 0.0)
        at.load = np.where(able, RUNNING, at.load).astype(np.int8)
        at.load_v = np.where(able, v, at.load_v)
        at.loaded |= start
        at.rounds[failed | start] = 0
        done: BoolArray = settled & ~starved.any(axis=0) | start & ~able.any(axis=0)
        return done

    def _move_coils(self, rows: BatchRows, at: Position, v: FloatArray, quiet: BoolArray) -> BoolArray:
        """Pull in and drop out in quiet rows; which rows are done."""
        if not self.movers:
            return quiet
        size = np.abs(self.across(v, self.movers))
        want = np.where(at.coil, ~(size < rows.drop_out_v), size >= rows.pull_in_v)
        moves = (want != at.coil) & quiet
        # A coil without contacts, as a lock's, moves nothing that would have to be solved again.
        at.coil ^= moves & ~self._acting
        moves &= self._acting
        seen = quiet & (at.passes >= _COILS_TOGETHER)
        at.coil_low_v = np.where(seen, np.minimum(at.coil_low_v, size), at.coil_low_v)
        at.coil_high_v = np.where(seen, np.maximum(at.coil_high_v, size), at.coil_high_v)
        moving: BoolArray = np.logical_or.reduce(moves, axis=0)
        if not moving.any():
            return quiet
        first = moves.argmax(axis=0)
        singly = at.passes >= _COILS_TOGETHER
        moves &= ~(singly & (np.arange(len(self.movers))[:, None] > first))
        endless = moving & (at.passes >= _COILS_TOGETHER + 4 * int(self._acting.sum()) + 4)
        at.trouble[endless] = OSCILLATES
        at.culprit = np.where(endless, np.array(self.movers)[first], at.culprit)
        again = moving & ~endless
        at.coil ^= moves & again
        at.passes[again] += 1
        at.rounds[again] = 0
        if self.power:
            at.loaded[again] = False
            at.load[:, again] = OFF
        return quiet & ~again
