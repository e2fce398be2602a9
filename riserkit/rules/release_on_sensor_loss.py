"""The rule `release-on-sensor-loss`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.model.opening import EgressRole
from riserkit.proofs.book import Unproven
from riserkit.proofs.values import RELEASE_ON_SENSOR_LOSS, Outcome, Property
from riserkit.rules._shared.base import not_evaluated, stated
from riserkit.rules._shared.proving import asked, clause, judged, unproven
from riserkit.standards.egress import section_source

_SENSOR: Final = "State a powered REX sensor whose contacts release when it loses its supply."
_BREAK: Final = (
    "Use a two-pole REX sensor (poles 2, releases_on_loss yes); wire the second pole in series with the manual release,"
    " so that neither a dead controller nor an open wire keeps the lock powered."
)
_OBEY: Final = "Fix lock-follows-controller first."


class ReleaseOnSensorLoss:
    """A sensor-released door unlocks for whoever approaches, and when its sensor dies.

    Why:
        A sensor that has lost its supply or its wire sees nobody. If that leaves the lock powered, people stand
        before a locked door without knowing that there is a button.
    Measures:
        The lock's voltage when someone approaches; when the sensor is without supply, be it by a single fault
        or because its power has gone; and when someone approaches while a conductor or a contact of the sensor
        is open. The controller is taken to do as it sees.
    Limit:
        Every lock is below its drop-out voltage in each of these cases.
    Remedy:
        A second contact of the sensor that breaks lock power itself.
    Source:
        IBC 2021 1010.2.12 items 1 and 2 (verified); the section of the edition that the site names is cited.
    """

    name: ClassVar[str] = "release-on-sensor-loss"
    source: ClassVar[str] = section_source("sensor release", "2021").cite()
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each door released by a sensor."""
        for door in design.doors:
            proof = asked(door, RELEASE_ON_SENSOR_LOSS)
            if isinstance(proof, Unproven):
                if door.opening.egress is EgressRole.SENSOR_RELEASE:
                    yield unproven(self, door, proof)
            elif proof is not None:
                yield self._door(design, door, proof.about(RELEASE_ON_SENSOR_LOSS))

    def _door(self, design: Design, door: DoorDesign, one: Property) -> Finding:
        source = clause(design, door.opening.egress)
        if one.outcome is Outcome.NOT_APPLICABLE:
            return stated(self, door.subject, False, one.words, remedy=_SENSOR, source=source)
        if door.opening.rex and getattr(design.site.part.get(door.opening.rex), "releases_on_loss", None) is None:
            return not_evaluated(
                self, door.subject, "Whether the REX sensor releases when it loses its supply is not stated.",
                "State releases_on_loss of the REX sensor.",
            )  # fmt: skip
        remedy = _OBEY if one.outcome is Outcome.NOT_EVALUATED else _BREAK
        return judged(self, door, one, remedy, source=source)
