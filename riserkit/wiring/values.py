"""What the wiring stage yields: the candidates considered for an opening, with reasons, and the one chosen."""

from __future__ import annotations

from dataclasses import dataclass

from riserkit.circuits.netlist import Netlist


@dataclass(frozen=True, slots=True)
class Reason:
    """One test of a candidate.

    `name` says in words what was tested, such as `output-limit`; `passed` is None when data is missing. `value`
    and `limit` are the
    numbers that decided, in `unit`; None when the test is not a number. `text` is the whole sentence.
    """

    name: str
    passed: bool | None
    text: str
    value: float | None = None
    limit: float | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One arrangement with one lock cable and one supply position.

    `cost` only orders candidates (fewer parts, thinner copper first); it is no price.
    """

    arrangement: str
    lock_cable: str
    supply_at: str
    cost: float
    reasons: tuple[Reason, ...]
    netlist: Netlist | None = None

    @property
    def feasible(self) -> bool:
        """No test failed. One that could not be evaluated for lack of data does not reject, but a rule reports it."""
        return self.netlist is not None and all(reason.passed is not False for reason in self.reasons)


@dataclass(frozen=True, slots=True)
class DoorVoltages:
    """The solved circuit of one door at its corners. None where it does not apply or cannot be computed.

    Args:
        lock_low_v: least voltage at the lock while energised: lowest source, hottest conductor, highest current.
        lock_high_v: most: highest source, coldest conductor, lowest current.
        lock_a: most current that one lock draws (pull-in where it is higher than holding).
        output_a: most current out of the controller's lock output, with the limit that holds there.
        auxiliary_a: most current out of its auxiliary output.
        supply_a: most current out of the outside supply or splitter.
        pd_w: most power that the powered device at the door draws from the cable.
    """

    lock_low_v: float | None = None
    lock_high_v: float | None = None
    lock_a: float | None = None
    output_a: float | None = None
    auxiliary_a: float | None = None
    supply_a: float | None = None
    pd_w: float | None = None


@dataclass(frozen=True, slots=True)
class DoorWiring:
    """The wiring of one opening.

    `chosen` is None when nothing is feasible; then `nearest` is the candidate that failed fewest tests, by the
    least margin, and is drawn
    as not feasible. `missing` names data without which nothing can be chosen, as `lock` or `lock.rated_v`.
    """

    mark: str
    chosen: Candidate | None
    considered: tuple[Candidate, ...]
    voltages: DoorVoltages
    nearest: Candidate | None = None
    forced: bool = False
    missing: tuple[str, ...] = ()

    @property
    def netlist(self) -> Netlist | None:
        """The netlist that everything about this door is read off."""
        candidate = self.chosen or self.nearest
        return candidate.netlist if candidate else None
