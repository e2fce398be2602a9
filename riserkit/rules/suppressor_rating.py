"""The rule `suppressor-rating`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.circuits.netlist import Component, Element, ElementKind, Landing, Netlist
from riserkit.circuits.transient import stored_energy_j
from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.parts import Lock, Suppressor
from riserkit.quantities.printed import format_at_least, format_pair
from riserkit.rules._shared.base import (
    COMMON_PRACTICE,
    Measure,
    Subject,
    deciding_findings,
    follows,
    measured,
    not_evaluated,
    stated,
)
from riserkit.rules._shared.circuits import CircuitsAlike
from riserkit.rules._shared.lookups import lock_of, unsolved
from riserkit.wiring.readings.release_time import suppressors_of


class SuppressorRating:
    """Every lock's coil has a suppressor, landed the right way round, that takes its current and stays out of its supply.

    Why:
        A coil that is broken drives its current on: without a suppressor several hundred volts across the contact, which
        welds it. A suppressor that clamps below the supply conducts all the time, and a diode the wrong way round is a
        short circuit.
    Measures:
        Whether something is across the lock's own terminals; a diode's cathode; the clamp voltage against the
        highest voltage at the lock; its rated current against the highest of the coil; and, where its energy is
        stated, half the inductance times the square of that current. A diode across a magnet is a warning.
    Limit:
        Landed, cathode to plus; clamp voltage not below the supply's highest; rated current and energy not below the
        coil's. A lock with a suppressor fitted by its maker needs none.
    Remedy:
        The rating that does, or the ends to exchange.
    Source:
        Common practice, no source; stored energy is half L times the square of I (physics).
    """

    name: ClassVar[str] = "suppressor-rating"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """Findings for each lock of each opening that has a circuit."""
        alike = CircuitsAlike()
        for door in design.doors:
            circuit, lock = alike.circuit(door), lock_of(design, door)
            if circuit is None or lock is None:
                continue
            for ref in circuit.locks:
                found = next(suppressors_of(circuit.netlist, ref), None)
                yield from deciding_findings(self._lock(design, door, lock, (circuit.netlist, ref), found))

    def _lock(
        self,
        design: Design,
        door: DoorDesign,
        lock: Lock,
        at: tuple[Netlist, str],
        found: tuple[Component, Element] | None,
    ) -> Iterator[Finding]:
        subject, ref = door.subject, at[1]
        if found is None:
            yield self._none(subject, lock, ref)
            return
        component, element = found
        if element.kind is ElementKind.DIODE:
            yield self._polarity(subject, at, component, element)
            if lock.kind == "electromagnetic-lock":
                yield stated(
                    self, subject, False, f"{component.ref}, a diode, keeps the magnet's current up: {ref} releases late.",
                    severity=Severity.WARNING, about=f"kind of {component.ref}",
                    remedy="Use a varistor or transient suppressor that clamps at two to four times the rated voltage.",
                )  # fmt: skip
        part = design.site.part.get(component.part)
        volts = door.wiring.voltages
        if not isinstance(part, Suppressor) or part.clamp_v is None or part.rated_a is None:
            names = "clamp_v, rated_a" if not isinstance(part, Suppressor) else ", ".join(part.lacks())
            yield not_evaluated(
                self, subject, f"{component.ref} at {ref}: its part does not state {names}.",
                f"State {names} of {component.part or 'the suppressor'}.", about=f"rating of {component.ref}",
            )  # fmt: skip
        if volts.lock_high_v is None or volts.lock_a is None:
            text = f"{component.ref} at {ref}: not judged, {unsolved(door) or 'the current of the coil is unknown'}."
            yield follows(self, subject, text, about=f"load of {component.ref}")
        elif isinstance(part, Suppressor):
            yield from self._ratings(subject, component.ref, part, lock, (volts.lock_high_v, volts.lock_a))

    def _none(self, subject: Subject, lock: Lock, ref: str) -> Finding:
        about = f"suppressor at {ref}"
        if lock.suppressor_fitted:
            return stated(self, subject, True, f"{ref}: {lock.id} has a suppressor fitted.", about=about)
        if lock.own_supply:
            return not_evaluated(
                self, subject, f"{ref} has its own supply; whether a suppressor is fitted is not stated.",
                f"State suppressor_fitted of {lock.id}.", about=about,
            )  # fmt: skip
        remedy = f"Land a suppressor across {ref} + and -, close to the lock."
        return stated(self, subject, False, f"No suppressor at {ref}.", remedy=remedy, about=about)

    def _polarity(self, subject: Subject, at: tuple[Netlist, str], component: Component, diode: Element) -> Finding:
        netlist, ref = at
        cathode = Landing(component.ref, diode.b)
        right = any(Landing(ref, "+") in (c.a, c.b) for c in netlist.at(cathode))
        text = f"{component.ref}: cathode {'at' if right else 'not at'} {ref} +."
        remedy = f"Reverse {component.ref}: cathode, the banded end, to {ref} +."
        return stated(self, subject, right, text, remedy=remedy, about=f"polarity of {component.ref}")

    def _ratings(
        self, subject: Subject, ref: str, part: Suppressor, lock: Lock, at: tuple[float, float]
    ) -> Iterator[Finding]:
        high_v, most_a = at
        if part.kind != "diode" and part.clamp_v is not None:
            shown, limit = format_pair(part.clamp_v, high_v, "V")
            yield measured(
                self, subject, Measure(part.clamp_v, high_v, "V", at_most=False),
                message=f"{ref} clamps at {shown}; the lock has {limit} at most.",
                remedy=f"Use a suppressor that clamps at {format_at_least(high_v, 'V')} or more.",
                about=f"clamp voltage of {ref}",
            )  # fmt: skip
        if part.rated_a is not None:
            shown, limit = format_pair(most_a, part.rated_a, "A")
            yield measured(
                self, subject, Measure(most_a, part.rated_a, "A"),
                message=f"{ref} takes {shown} of the coil; {part.id} is rated {limit}.",
                remedy=f"Use a suppressor rated at least {format_at_least(most_a, 'A')}.",
                about=f"current of {ref}",
            )  # fmt: skip
        if part.energy_j is not None:
            yield self._energy(subject, ref, part.energy_j, lock, most_a)

    def _energy(self, subject: Subject, ref: str, rated_j: float, lock: Lock, most_a: float) -> Finding:
        about = f"energy of {ref}"
        if lock.inductance_h is None:
            return not_evaluated(
                self, subject, f"{ref}: the energy of the coil is unknown, {lock.id} does not state inductance_h.",
                f"State inductance_h of {lock.id}.", about=about,
            )  # fmt: skip
        energy_j = stored_energy_j(lock.inductance_h, most_a)
        return measured(
            self, subject, Measure(energy_j, rated_j, "J"),
            message=f"{ref} takes {energy_j:.2g} J of the coil each time; it is rated {rated_j:.2g} J.",
            remedy=f"Use a suppressor rated at least {energy_j:.2g} J.", about=about,
        )  # fmt: skip
