"""The rule `cable-between-buildings`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.confirmations import Condition
from riserkit.rules._shared.base import Subject, stated
from riserkit.rules._shared.between_buildings import buildings_of
from riserkit.rules._shared.confirming import who_confirmed
from riserkit.wiring.cables import CableKind, DesignCable

_FIBRE: Final = "an optical backbone with a switch in the other building"
_OWN_SUPPLY: Final = "a supply in the opening's own building"
_PROTECT: Final = "fit a listed protector, earthed to the building's own earth, at both ends"


class CableBetweenBuildings:
    """No copper runs from one building to another without a protector at each end.

    Why:
        Lightning near by, or a fault in one building's supply, lifts the earth of one end against the other by hundreds of
        volts. The cable carries it into switch and controller, and to the hand on the reader.
    Measures:
        The building of both ends of every PoE cable, copper backbone and lock power cable. Without buildings, all of the
        site is one.
    Limit:
        Both ends are in one building, the cable is optical, or it is confirmed (protectors-fitted) that protectors are
        fitted at both ends.
    Remedy:
        An optical link, or protectors.
    Source:
        NEC 800.90 (805.90 from 2020 on) asks for listed primary protectors at circuits between buildings that are exposed
        to lightning or to power conductors (from memory); that it is judged for every such cable is common practice, no
        source.
    """

    name: ClassVar[str] = "cable-between-buildings"
    source: ClassVar[str] = "NEC 800.90, from 2020 on 805.90 (from memory); common practice, no source"
    harm: ClassVar[Harm] = Harm.CODE

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each cable with copper between two buildings; one pass for the site when there is none."""
        found = False
        for cable in design.pathway_cables:
            kind = design.site.cable_type.get(cable.cable_type)
            between = buildings_of(design, cable)
            if between and not (kind is not None and kind.kind == "optical"):
                found = True
                yield self._cable(design, cable, between)
        if not found:
            message = "No copper runs from one building to another."
            yield stated(self, ("site", design.site.info.name), True, message, severity=Severity.WARNING)

    def _cable(self, design: Design, cable: DesignCable, between: tuple[str, str]) -> Finding:
        subject: Subject = ("opening", cable.mark) if cable.mark else ("cable", cable.subject)
        about = "" if cable.kind is CableKind.HORIZONTAL else str(cable.kind)
        given = design.site.confirmed.get((cable.mark, Condition.PROTECTORS_FITTED))
        message = f"Copper runs from building {between[0]} to building {between[1]}: cable {cable.label}."
        if given is not None:
            return stated(
                self, subject, True, f"{message} {who_confirmed(given)}: protectors at both ends.", about=about
            )
        record = (
            "record protectors-fitted in confirmations, with name and date"
            if cable.mark
            else "accept the finding, with name and date"
        )
        instead = _OWN_SUPPLY if cable.kind is CableKind.LOCK_POWER else _FIBRE
        remedy = f"Use {instead}; or {_PROTECT} and {record}."
        return stated(self, subject, False, message, remedy=remedy, severity=Severity.WARNING, about=about)
