"""The rule `door-contact`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.rules._shared.base import COMMON_PRACTICE, stated


class DoorContact:
    """An opening whose lock wiring is to be secured reports when it stands open.

    Why:
        Whoever secures the wires to the lock expects somebody to try the door. Without a door contact nothing tells that it
        was forced, or that it never closed.
    Measures:
        Openings that state lock_wiring_secured yes: whether they state a contact.
    Limit:
        There is one.
    Remedy:
        The contact to state.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "door-contact"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each such opening."""
        for door in design.doors:
            if door.opening.lock_wiring_secured:
                there = bool(door.opening.contact)
                message = (
                    "A door contact is stated."
                    if there
                    else "No door contact: nothing tells that it was forced or stands open."
                )
                yield stated(
                    self, door.subject, there, message, severity=Severity.WARNING,
                    remedy="State contact, for example contact-reed; or accept that nobody is told.",
                )  # fmt: skip
