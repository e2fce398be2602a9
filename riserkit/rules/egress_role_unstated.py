"""The rule `egress-role-unstated`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm
from riserkit.model.opening import EgressRole
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.rules._shared.said import EXIT, said_at

_ROLES: Final = ", ".join(EgressRole)
_REMEDY: Final = f"State egress, one of {len(EgressRole)}: {_ROLES}; the authority having jurisdiction decides."
_OR_REWORD: Final = f"State egress as one of: {', '.join(r for r in EgressRole if r != EgressRole.NONE)}; or reword it if it is no exit."


class EgressRoleUnstated:
    """It is stated how people get out through every opening, or that none do.

    Why:
        What a lock must do when the power fails, the alarm sounds or someone pushes depends on the door's part in
        egress. That is a decision of the code official's and the architect's; no drawing may assume it.
    Measures:
        Whether the opening's egress role is stated; and where it is none, whether name or remarks speak of an exit.
    Limit:
        It is, be it `none`.
    Remedy:
        The roles to choose from. The local code, the authority having jurisdiction and licensed practice govern.
    Source:
        Common practice, no source: life safety is never assumed.
    """

    name: ClassVar[str] = "egress-role-unstated"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening."""
        for door in design.doors:
            role = door.opening.egress
            if role is None:
                yield not_evaluated(
                    self, door.subject, "Its egress role is not stated; egress is not checked.",
                    _REMEDY,
                )  # fmt: skip
                continue
            yield stated(self, door.subject, True, f"Egress role: {role.value}.")
            where, said = said_at(door.opening, EXIT) if role is EgressRole.NONE else ("", "")
            if said:
                message = f"{where} {said!r}; its egress role is none, so that nothing here is checked as on a way out."
                yield not_evaluated(self, door.subject, message, _OR_REWORD, about="words of an exit")
