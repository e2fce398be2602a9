"""The rule `shipped-replaced`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.catalogue import CABLE_TYPES, PARTS
from riserkit.rules._shared.base import COMMON_PRACTICE, stated
from riserkit.rules._shared.lookups import listed

_SHOWN: Final = 4


class ShippedReplaced:
    """A part or cable type of the site that has the id of a shipped one is meant to take its place.

    Why:
        The site's own counts. Whoever reads the id and knows the shipped part calculates with other values; and a part typed
        in under an id that was taken changes every door that meant the shipped one.
    Measures:
        The parts and cable types of the site against those that ship, by id.
    Limit:
        Ids differ, or every value is the same. A note.
    Remedy:
        Give it an id of its own; or accept the note.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "shipped-replaced"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A note for each part and cable type that takes a shipped one's place."""
        site = design.site
        for word, own, shipped in (("Part", site.part, PARTS), ("Cable type", site.cable_type, CABLE_TYPES)):
            for usual in shipped:
                one = own.get(usual.id)
                if one is None or one == usual:
                    continue
                mine, theirs = one.model_dump(), usual.model_dump()
                other = sorted(name for name in {*mine, *theirs} if mine.get(name) != theirs.get(name))
                names = listed(other[:_SHOWN]) + (" and others" if len(other) > _SHOWN else "")
                message = f"{word} {usual.id} is the site's own; the shipped one of that id does not count. They differ in {names}."
                yield stated(
                    self, ("site", site.info.name), False, message, severity=Severity.NOTE, about=usual.id,
                    remedy=f"Give it an id of its own, and name that where it is meant; or accept that {usual.id} is this one.",
                )  # fmt: skip
