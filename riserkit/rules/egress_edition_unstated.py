"""The rule `egress-edition-unstated`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from riserkit.design import Design
from riserkit.findings import Finding, Harm
from riserkit.proofs.asked import ibc_edition
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.rules._shared.lookups import listed
from riserkit.rules._shared.proving import SECTION_OF, UNSTATED_EDITION
from riserkit.standards.egress import EDITIONS


class EgressEditionUnstated:
    """The edition of the building code that rules electrically locked doors is known.

    Why:
        Editions differ in what they ask: from IBC 2024 on stair doors unlock on fire alarm and on loss of power.
        Judged by the wrong edition a door passes that must not.
    Measures:
        Whether the site's building_code names a tabulated edition of the International Building Code, where a door
        has a role in egress that the code's sections on locking rule.
    Limit:
        It names one.
    Remedy:
        The editions that are tabulated. Another code is judged by the licensed designer.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "egress-edition-unstated"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.LIFE_SAFETY

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """One finding of the site, where a door depends on the edition."""
        marks = [door.mark for door in design.doors if door.opening.egress in SECTION_OF]
        if not marks:
            return
        code, subject = design.site.info.building_code, ("site", design.site.info.name)
        if edition := ibc_edition(code):
            yield stated(self, subject, True, f"Electrically locked doors are checked by IBC {edition}.")
            return
        seen = f"building_code is {code!r}" if code else "building_code is not stated"
        yield not_evaluated(
            self, subject,
            f"No edition of the IBC is named ({seen}); {listed(marks)} are checked by IBC {UNSTATED_EDITION};"
            " further requirements of another edition or code are not evaluated.",
            f"State the adopted edition in building_code: IBC {', '.join(EDITIONS)}.",
        )  # fmt: skip
