"""Find the segments, the load voltages and the coil positions at which every row of a batch agrees with itself.

Every round solves all open rows once, then moves what disagrees: segments of piecewise-linear elements, Newton's
tangent of constant-power loads, and, once those are quiet, coils. Rows that agree leave the batch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from riserkit.circuits.elimination import BoolArray, FloatArray, IntArray, back, eliminate
from riserkit.circuits.netlist import ElementKind
from riserkit.circuits.rows import ROUNDING, BatchRows, Spelt, moved
from riserkit.circuits.segments import SegmentArray, segmented
from riserkit.circuits.topology import Topology

V_DEAD_V = 1.0
"""A constant-power load that sees less than this without load is taken as unpowered, not as collapsed."""

_NEWTON_DONE = 1e-10  # relative step; the next one would be at rounding
_NEWTON_MOST = 120
_LEAST_ROOM = 0.1  # of 1 without load; 0 is where a load collapses
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
        stood: how the coils that move contacts stood in each pass, one bit a coil; -1 for a pass not made, shape (passes, rows).
        early_v: voltage of each coil without sign in the passes before that, shape (passes, coils, rows).
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
    stood: IntArray
    early_v: FloatArray
    trouble: npt.NDArray[np.int8]
    culprit: IntArray

    def take(self, keep: IntArray) -> Position:
        """The rows to keep."""
        return Position(
            self.segment.take(keep, axis=1),
            self.load.take(keep, axis=1),
            self.load_v.take(keep, axis=1),
            self.loaded.take(keep),
            self.coil.take(keep, axis=1),
            self.coil_low_v.take(keep, axis=1),
            self.coil_high_v.take(keep, axis=1),
            self.rounds.take(keep),
            self.passes.take(keep),
            self.stood.take(keep, axis=1),
            self.early_v.take(keep, axis=2),
            self.trouble.take(keep),
            self.culprit.take(keep),
        )

    @classmethod
    def joined(cls, parts: Sequence[Position]) -> Position:
        """Rows one after the other."""
        return cls(
            np.concatenate([p.segment for p in parts], axis=1),
            np.concatenate([p.load for p in parts], axis=1),
            np.concatenate([p.load_v for p in parts], axis=1),
            np.concatenate([p.loaded for p in parts]),
            np.concatenate([p.coil for p in parts], axis=1),
            np.concatenate([p.coil_low_v for p in parts], axis=1),
            np.concatenate([p.coil_high_v for p in parts], axis=1),
            np.concatenate([p.rounds for p in parts]),
            np.concatenate([p.passes for p in parts]),
            np.concatenate([p.stood for p in parts], axis=1),
            np.concatenate([p.early_v for p in parts], axis=2),
            np.concatenate([p.trouble for p in parts]),
            np.concatenate([p.culprit for p in parts]),
        )


@dataclass(frozen=True, slots=True)
class Nodes:
    """One linear solution.

    Attributes:
        v: voltages as `EliminationPlan.voltages` has them, those of the still nodes not yet worked out.
        negative: rows in which a pivot was negative.
        adrift: node whose current has no way out, or -1, shape (rows,).
    """

    v: FloatArray
    negative: BoolArray
    adrift: IntArray


class Solver:
    """The rounds for one structure."""

    def __init__(self, topology: Topology) -> None:
        self.topology = topology
        self.segmented = segmented(topology)
        self.power = topology.of_kind(ElementKind.POWER_LOAD)
        self.movers = topology.movers
        moving = {b.mover for b in topology.elements if b.mover >= 0}
        self._most_passes = _COILS_TOGETHER + 4 * len(moving) + 4
        self._acting = np.array([k in moving for k in range(len(self.movers))], dtype=np.bool_)[:, None]
        self._bits = np.where(self._acting[:, 0], 1 << np.arange(len(self.movers)), 0)
        self._a = np.array([b.a for b in topology.branches], dtype=np.int64)
        self._b = np.array([b.b for b in topology.branches], dtype=np.int64)
        self._shifting = [(place, topology.elements[k]) for place, k in enumerate(topology.shifting)]
        self._feeding = slice(len(topology.shifting) - len(self.segmented) - len(self.power), None)
        self._piecewise = slice(self._feeding.start, self._feeding.start + len(self.segmented))
        self._loads = slice(self._piecewise.stop, None)

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
            stood=np.full((self._most_passes + 1, n), -1, dtype=np.int64),
            early_v=np.zeros((_COILS_TOGETHER, len(self.movers), n)),
            trouble=np.zeros(n, dtype=np.int8),
            culprit=np.full(n, -1, dtype=np.int64),
        )

    def across(self, v: FloatArray, which: tuple[int, ...]) -> FloatArray:
        """Voltage from a to b of the given branches, shape (len(which), rows)."""
        index = list(which)
        across: FloatArray = v.take(self._a[index], axis=0) - v.take(self._b[index], axis=0)
        return across

    def gate(self, rows: BatchRows, at: Position) -> BoolArray:
        """Which of the shifting elements are in the circuit, with contacts where their coils put them."""
        return moved(rows.gate, rows.held, at.coil, self._shifting)

    def linear(self, rows: BatchRows, at: Position, gate: BoolArray) -> Nodes:
        """Solve every row with things standing as they do."""
        plan = self.topology.plan
        g, c = rows.segments.at(at.segment)
        if self.power:
            on = at.load == RUNNING
            g = np.concatenate([g, np.where(on, -rows.p_w / at.load_v**2, 0.0)])
            c = np.concatenate([c, np.where(on, 2.0 * rows.p_w / at.load_v, 0.0)])
        c *= gate[self._feeding]
        stamps = np.concatenate([rows.contact_g, g]) * gate
        system = rows.system.copy()
        stamped, order = self.topology.shifting_stamps
        stamped.add(system, np.concatenate([stamps, -c, c]).take(order, axis=0))
        slack_a = rows.slack_a + ROUNDING * np.add.reduce(np.abs(c), axis=0)
        found = eliminate(plan.moving, system, slack_a)
        v = plan.voltages(gate.shape[1])
        back(plan.moving, found.shares, v)
        return Nodes(v, found.negative, found.adrift)

    def whole(self, spelt: Spelt, v: FloatArray, adrift: IntArray) -> tuple[FloatArray, IntArray]:
        """Voltages of all nodes, and the nodes adrift, from those of the moving levels."""
        plan = self.topology.plan
        back(plan.still, spelt.still.shares, v)
        return v[: plan.n_nodes], np.where(adrift >= 0, adrift, spelt.still.adrift)

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
        wrong &= gate[self._piecewise]
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
        """One Newton step of constant-power loads, from the unloaded voltage downwards, so to the upper root.

        What feeds a load that is alone is a source behind a resistance, as long as no segment changes: its first step says what
        resistance, and with it where the load comes to rest. The second only confirms that.
        """
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
        alone = quiet & at.loaded & (at.rounds == 1) & (np.add.reduce(on, axis=0) == 1)
        touched = np.where(alone, _on_load(v, at.load_v), v) if alone.any() else v
        at.load_v = np.where(on & ~low & ~failed, np.where(touched > 0.0, touched, at.load_v), at.load_v)
        at.load = np.where(low, COLLAPSED, np.where(starved, OFF, at.load)).astype(np.int8)
        able = start & (v > V_DEAD_V) & (v >= rows.p_min_v) & gate[self._loads] & (rows.p_w > 0.0)
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
        moving: BoolArray = np.logical_or.reduce(moves, axis=0)
        if moving.any():
            self._skip_rounds_alike(at, np.flatnonzero(moving), moves, size)
        seen = quiet & (at.passes >= _COILS_TOGETHER)
        at.coil_low_v = np.where(seen, np.minimum(at.coil_low_v, size), at.coil_low_v)
        at.coil_high_v = np.where(seen, np.maximum(at.coil_high_v, size), at.coil_high_v)
        if not moving.any():
            return quiet
        first = moves.argmax(axis=0)
        singly = at.passes >= _COILS_TOGETHER
        moves &= ~(singly & (np.arange(len(self.movers))[:, None] > first))
        endless = moving & (at.passes >= self._most_passes)
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

    def _skip_rounds_alike(self, at: Position, moving: IntArray, moves: BoolArray, size: FloatArray) -> None:
        """Where contacts move to where they stood some passes ago, all since then comes again and again: go on where that would end.

        What follows from a position of the contacts is always the same, while all coils move and while one at a time does; where
        each time only one had to move, that makes no difference, and the row is known to go on for ever. The first pass is left
        out: it alone starts on the elements' first segments.
        """
        passes = at.passes[moving]
        singly = passes >= _COILS_TOGETHER
        now, move = self._bits @ at.coil[:, moving], self._bits @ moves[:, moving]
        then = now ^ np.where(singly, move & -move, move)
        at.stood[passes, moving] = now
        at.early_v[passes[~singly], :, moving[~singly]] = size[:, moving[~singly]].T
        stood, order = at.stood[:, moving], np.arange(len(at.stood))[:, None]
        same = (stood == then) & (order < passes) & (order >= 1)
        again = np.logical_or.reduce(same, axis=0)
        if not again.any():
            return
        since = len(same) - 1 - same[::-1].argmax(axis=0)
        moved = np.where(order[:-1] < passes, stood[1:] ^ stood[:-1], now ^ then)
        several = ((moved & (moved - 1)) != 0) | (stood[:-1] < 0)
        endless = again & ~np.logical_or.reduce(several & (order[:-1] >= since) & (order[:-1] <= passes), axis=0)
        end = np.where(endless, self._most_passes, _COILS_TOGETHER)
        again &= (endless | ~singly) & ((end - passes) % np.where(again, passes + 1 - since, 1) == 0)
        at.passes[moving] = np.where(again, end, passes)
        # what coils see before they begin to move one by one counts where nothing else would come then
        early = order[:_COILS_TOGETHER]
        cycle = (again & endless & (early >= since) & (early <= passes))[:, None]
        seen_v = at.early_v[:, :, moving]
        at.coil_low_v[:, moving] = np.minimum(at.coil_low_v[:, moving], np.where(cycle, seen_v, np.inf).min(axis=0))
        at.coil_high_v[:, moving] = np.maximum(at.coil_high_v[:, moving], np.where(cycle, seen_v, 0.0).max(axis=0))


def _on_load(v: FloatArray, open_v: FloatArray) -> FloatArray:
    """Where a constant-power load comes to rest behind a resistance; close to its collapse, and past it, the voltage as it is.

    With p the power and r the resistance, v = open_v - r p / v, and the tangent at open_v has led to
    r p / open_v² = (1 - x) / (2 - x), x being v / open_v.

    Args:
        v: voltage with the load as its tangent at `open_v`.
        open_v: voltage without it; equal shape.
    """
    x = v / open_v
    with np.errstate(divide="ignore", invalid="ignore"):  # of loads that are off anything comes out
        room = 1.0 - 4.0 * (1.0 - x) / (2.0 - x)
        return np.where(room > _LEAST_ROOM, 0.5 * open_v * (1.0 + np.sqrt(room)), v)
