"""The rule `contact-rating`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm
from riserkit.quantities.printed import format_at_least, format_pair
from riserkit.rules._shared.base import (
    COMMON_PRACTICE,
    Measure,
    Subject,
    deciding_findings,
    follows,
    measured,
    not_evaluated,
)
from riserkit.rules._shared.circuits import CircuitsAlike
from riserkit.rules._shared.lookups import unsolved
from riserkit.wiring.contacts import RatedContact, rated_contacts


class ContactRating:
    """Every contact carries all the current through it and breaks the voltage behind it, pole by pole.

    Why:
        A contact that carries more than it is made for welds shut. Welded in a manual release or a fire alarm relay,
        it no longer releases the door; behind a double door it carries both locks.
    Measures:
        The greatest current through each landed pole of dry lock outputs, relay modules, manual releases, REX sensors, fire alarm relays
        and door contacts, solved with pull-in included; and the greatest voltage of the source behind it, which is
        across it when it opens.
    Limit:
        The amperes and volts that the part states for its contacts.
    Remedy:
        The rating that does, or a contact that carries less.
    Source:
        Common practice, no source; the limits are the part's data.
    """

    name: ClassVar[str] = "contact-rating"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """Findings for each contact of each opening."""
        alike = CircuitsAlike()
        for door in design.doors:
            circuit = alike.circuit(door)
            contacts = rated_contacts(circuit, design.site.part) if circuit else ()
            if not contacts:
                continue
            if why := unsolved(door):
                yield follows(self, door.subject, f"The currents through its contacts are unknown: {why}.")
                continue
            yield from self._door(door, contacts)

    def _door(self, door: DoorDesign, contacts: tuple[RatedContact, ...]) -> Iterator[Finding]:
        subject = door.subject
        for contact, load in zip(contacts, door.wiring.voltages.contacts, strict=True):
            lacks = [n for n in ("contact_a", "contact_v") if getattr(contact, _LIMITS[n]) is None]
            if lacks:
                names = ", ".join(lacks)
                yield not_evaluated(
                    self, subject, f"{_named(contact)}: {contact.part} does not state {names}.",
                    f"State {names} of {contact.part}.", about=f"rating of {_named(contact)}",
                )  # fmt: skip
            yield from deciding_findings(
                [*self._current(subject, contact, load.most_a), *self._voltage(subject, contact)]
            )

    def _current(self, subject: Subject, contact: RatedContact, most_a: float) -> Iterator[Finding]:
        if contact.carries_a is None:
            return
        shown, limit = format_pair(most_a, contact.carries_a, "A")
        yield measured(
            self, subject, Measure(most_a, contact.carries_a, "A"),
            message=f"{_named(contact)} carries {shown} at most; {contact.part} is rated {limit}.",
            remedy=f"Use a contact rated at least {format_at_least(most_a, 'A')}, or split the load.",
            about=f"current through {_named(contact)}",
        )  # fmt: skip

    def _voltage(self, subject: Subject, contact: RatedContact) -> Iterator[Finding]:
        if contact.breaks_v is None:
            return
        shown, limit = format_pair(contact.most_v, contact.breaks_v, "V")
        yield measured(
            self, subject, Measure(contact.most_v, contact.breaks_v, "V"),
            message=f"{_named(contact)} breaks {shown} at most; {contact.part} is rated {limit}.",
            remedy=f"Use a contact that breaks at least {format_at_least(contact.most_v, 'V')}.",
            about=f"voltage across {_named(contact)}",
        )  # fmt: skip


_LIMITS = {"contact_a": "carries_a", "contact_v": "breaks_v"}


def _named(contact: RatedContact) -> str:
    return f"{contact.what} {contact.ref} {contact.pole}"
