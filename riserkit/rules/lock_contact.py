"""The rule `lock-contact`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.circuits.netlist import Netlist
from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.opening import Opening
from riserkit.model.parts import Lock
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.wiring.places import lock_in_leaf
from riserkit.wiring.roles import ElementRole

_ROLES: Final = (ElementRole.LATCH_CONTACT, ElementRole.BOND_CONTACT)


class LockContact:
    """A lock's own contact is wired to an input.

    Why:
        A latch or bond contact is paid for so that somebody learns of a lock that does not hold. Left unlanded it reports
        nobody, and everybody believes that the door is watched.
    Measures:
        For each opening whose lock states a latch or bond contact: whether it is landed, its position while the lock is engaged,
        and what it follows.
    Limit:
        Landed on the door input, in series with the door contacts, closed while the lock holds. The REX/AUX input is the
        REX sensor's; there is no third. A lock in the leaf has no conductors for its contact over the hinges.
    Remedy:
        The contact that can be landed, or the wiring to add by hand.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "lock-contact"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.INTRUSION

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening whose lock has a contact of its own and whose wiring is known."""
        for door in design.doors:
            lock = design.site.part.get(door.opening.lock)
            netlist = door.wiring.netlist
            if isinstance(lock, Lock) and lock.own_contact and netlist is not None:
                yield self._door(door, lock, netlist)

    def _door(self, door: DoorDesign, lock: Lock, netlist: Netlist) -> Finding:
        subject, what = door.subject, f"{lock.own_contact} of {lock.id}"
        landed = len(_landed(netlist))
        if not lock.contact_when_secured:
            return not_evaluated(
                self, subject, f"The position of the {what} while the lock is engaged is not stated; it is not landed.",
                f"State contact_when_secured of {lock.id}: closed or open.",
            )  # fmt: skip
        if landed >= door.opening.lock_count:
            message = f"The {what} is landed on the door input, in series with any door contact."
            if not lock.contact_follows_coil:
                message += " It sees the bolt only: a released lock in a closed door reads secured."
            return stated(self, subject, True, message)
        why, remedy = _not_landed(lock, door.opening)
        return stated(
            self, subject, False, f"The {what} is not landed: {why}.", severity=Severity.WARNING, remedy=remedy
        )


def _landed(netlist: Netlist) -> set[str]:
    """Locks with a contact of their own that a conductor is landed at."""
    ends = {str(end) for c in netlist.conductors for end in (c.a, c.b)}
    return {name.partition(".")[0] for name in netlist.elements(*_ROLES) if ends & set(netlist.ends(name))}


def _not_landed(lock: Lock, opening: Opening) -> tuple[str, str]:
    """Why it cannot be landed, and what to do."""
    if lock.contact_when_secured == "open":
        return (
            "it is open while the lock holds and cannot stand in series with a door contact on the door input",
            "Use the contact's other side, which is closed while the lock holds, and state contact_when_secured closed.",
        )
    if lock_in_leaf(opening, lock):
        return (
            "its lock is in the leaf, and the hinge power transfer brings lock power only",
            "Use a transfer with two more conductors and add the contact to the door circuit on site, or watch the bolt with a"
            " contact in the frame.",
        )
    return (
        "this wiring does not land it",
        "Use one of the shipped arrangements, or add the contact to the door circuit on site.",
    )
