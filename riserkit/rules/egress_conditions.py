"""The rule `egress-conditions`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity, Verdict
from riserkit.model.confirmations import Condition, Confirmation
from riserkit.model.opening import EgressRole, Opening
from riserkit.proofs.asked import ibc_edition
from riserkit.rules._shared.base import COMMON_PRACTICE, stated
from riserkit.rules._shared.between_buildings import buildings_of
from riserkit.rules._shared.confirming import (
    conditions_at,
    next_of_its_kind,
    settings_at,
    who_confirmed,
    why_other_way_out,
)
from riserkit.rules._shared.lookups import listed
from riserkit.rules._shared.proving import SECTION_OF, UNSTATED_EDITION, clause
from riserkit.rules._shared.said import CROWD, GROUP_H, NOT_SWINGING, SECOND_LOCK, said_at
from riserkit.standards.egress import SECTIONS, section_source
from riserkit.standards.egress_conditions import CONDITIONS

_OTHERWISE: Final = {
    Condition.NO_FIRE_SYSTEM: "; where there is a fire alarm, state fire_alarm_release instead",
}
# Asked because of what the opening states or a side of it is called, and the subject of the code's section.
_BY_NAME: Final = {
    Condition.LOBBY_HAS_EXIT: (" (its unsecured side is a lift lobby by its name)", "elevator lobby"),
    Condition.INTERLOCK_YIELDS: ("", ""),
    Condition.OTHER_WAY_OUT: ("", ""),
    Condition.ONE_MOTION: ("", ""),
    Condition.OPENS_WITHOUT_SWINGING: ("", ""),
    Condition.FIRE_DOOR_PREPARED: ("", ""),
    Condition.PANIC_HARDWARE_FITTED: ("", "panic hardware"),
    Condition.LEVEL_OF_DISCHARGE: (
        " (it is locked from a stair, by the name of its unsecured side; if people may have to come in from there, state"
        " egress stair)", "stairway doors",
    ),
}  # fmt: skip
_ASKED_BY_WORDS: Final = {
    Condition.ONE_MOTION: SECOND_LOCK,
    Condition.OPENS_WITHOUT_SWINGING: NOT_SWINGING,
    Condition.PANIC_HARDWARE_FITTED: CROWD,
}
_NOT_IN_H: Final = frozenset({EgressRole.SENSOR_RELEASE, EgressRole.HARDWARE_RELEASE})
_IN_H: Final = (
    "Use a lock that the hardware inside opens mechanically, and state egress mechanical; or correct the words."
)
_ONE_OF_A_KIND: Final = frozenset({Condition.ONE_DELAYED_DOOR, Condition.ONE_CONTROLLED_DOOR})
_TWO_IN_A_ROW: Final = (
    "Give one of them another role; or, where the code allows both, record the approval's reference as note of the"
    " confirmation."
)
_CONTRADICTION: Final = "State fire_alarm_release here too and remove the confirmation of no-fire-system."


class EgressConditions:
    """What the code asks of this kind of door beyond what a circuit can show is confirmed by a named person.

    Why:
        A drawing cannot see a sprinkler, a sign or a nurse. Whoever can see them confirms each condition, so that
        none is taken for granted.
    Measures:
        The conditions of the section that rules the opening's role in egress, those left out that other rules
        check, against the confirmations of the site: condition, name and date. Others come with what the opening states: a
        fire rating; a lift lobby, a stair, a roof or a courtyard as the name of a side; or words in name or remarks, such as
        a turnstile, a dead bolt, an auditorium or 60 people. A confirmation that no condition of the opening asks for is
        a note.
    Limit:
        Each condition is confirmed. Until then it is not evaluated.
    Remedy:
        The condition to confirm, by its name in the table confirmations.
    Source:
        IBC, the section of the role in the edition that the site names.
    """

    name: ClassVar[str] = "egress-conditions"
    source: ClassVar[str] = section_source("sensor release", "2021").cite()
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each condition of an opening, and one for each confirmation that meets none."""
        asked = {door.mark: conditions_at(design, door) for door in design.doors}
        for door in design.doors:
            for condition in asked[door.mark]:
                yield self._condition(design, door, condition)
        crossing = {cable.mark for cable in design.pathway_cables if buildings_of(design, cable)}
        for given in design.site.confirmations:
            there = design.door.get(given.opening)
            settings = tuple(settings_at(there)) if there is not None else ()
            fitted = (Condition.PROTECTORS_FITTED,) if given.opening in crossing else ()
            if given.condition not in (*asked.get(given.opening, ()), *settings, *fitted):
                yield self._unused(given)

    def _condition(self, design: Design, door: DoorDesign, condition: Condition) -> Finding:
        role, subject = door.opening.egress, door.subject
        source = _source(design, role, condition)
        given = design.site.confirmed.get((door.mark, condition))
        released = _released_beside(design, door) if condition is Condition.NO_FIRE_SYSTEM else []
        if given is not None and released:
            message = (
                f"{who_confirmed(given)} that there is no fire system; but the fire alarm releases {listed(released)}."
            )
            return stated(self, subject, False, message, remedy=_CONTRADICTION, source=source, about=condition.value)
        hazard = (
            said_at(door.opening, GROUP_H)[1]
            if condition is Condition.OCCUPANCY_PERMITTED and role in _NOT_IN_H
            else ""
        )
        if given is not None and hazard:
            message = (
                f"{CONDITIONS[condition]} {who_confirmed(given)}; but it says {hazard!r}, where it is not permitted."
            )
            return stated(self, subject, False, message, remedy=_IN_H, source=source, about=condition.value)
        after = next_of_its_kind(design, door) if condition in _ONE_OF_A_KIND else []
        if given is not None and after and not given.note:
            message = (
                f"{CONDITIONS[condition]} {who_confirmed(given)}; but by the names of their sides people pass {listed(after)} next,"
                f" {role} too."
            )
            return stated(
                self, subject, False, message, severity=Severity.WARNING, remedy=_TWO_IN_A_ROW, source=source,
                about=condition.value,
            )  # fmt: skip
        if given is not None:
            message = f"{CONDITIONS[condition]} {who_confirmed(given)}."
            return stated(self, subject, True, message, source=source, about=condition.value)
        of = f" ({SECTION_OF[role]})" if role in SECTION_OF and condition not in _BY_NAME else ""
        of += _BY_NAME.get(condition, ("",))[0] or _why(door.opening, condition)
        return Finding(
            rule=self.name, verdict=Verdict.NOT_EVALUATED, severity=Severity.WARNING, subject=door.mark,
            subject_kind="opening", message=f"Not confirmed{of}, {condition.value}: {CONDITIONS[condition]}", source=source,
            remedy=f"Confirm on site and record in confirmations, with name and date{_OTHERWISE.get(condition, '')}.",
            about=condition.value,
        )  # fmt: skip

    def _unused(self, given: Confirmation) -> Finding:
        message = (
            f"{given.name} confirmed {given.condition.value} on {given.date.isoformat()}; nothing here requires it."
        )
        remedy = "Check the opening's role in egress, or remove the confirmation."
        subject = ("opening", given.opening)
        return stated(
            self,
            subject,
            False,
            message,
            severity=Severity.NOTE,
            remedy=remedy,
            about=f"unused {given.condition.value}",
        )


def _why(opening: Opening, condition: Condition) -> str:
    """Why it is asked, in words of this opening, in brackets; empty where the condition says it itself."""
    why = why_other_way_out(opening) if condition is Condition.OTHER_WAY_OUT else ""
    if condition in _ASKED_BY_WORDS:
        where, said = said_at(opening, _ASKED_BY_WORDS[condition])
        why = (
            f"{where[:1].lower()}{where[1:]} {said!r}"
            if said
            else f"its secured side is called {opening.secured_side!r}"
        )
    if condition is Condition.FIRE_DOOR_PREPARED:
        why = f"the door is rated {opening.fire_rating_min:g} min"
    return f" ({why})" if why else ""


def _source(design: Design, role: EgressRole | None, condition: Condition) -> str:
    if condition not in _BY_NAME:
        return clause(design, role) or COMMON_PRACTICE
    if condition is Condition.FIRE_DOOR_PREPARED:
        return "NFPA 80, preparation of fire doors (from memory)"
    subject, edition = _BY_NAME[condition][1], ibc_edition(design.site.info.building_code)
    if not subject:
        return COMMON_PRACTICE
    if edition in SECTIONS[subject]:
        return section_source(subject, edition).cite()
    if UNSTATED_EDITION in SECTIONS[subject]:
        return f"{section_source(subject, UNSTATED_EDITION).cite()}; the site names no edition of the IBC"
    return f"{section_source(subject, '2024').cite()}; earlier editions leave it to other sections"


def _released_beside(design: Design, door: DoorDesign) -> list[str]:
    """Openings of the same building that the fire alarm releases."""
    site = design.site
    building = site.level[door.opening.level].building
    return [
        o.mark
        for o in site.openings
        if (o.fire_alarm_release or o.fire_relay) and site.level[o.level].building == building
    ]
