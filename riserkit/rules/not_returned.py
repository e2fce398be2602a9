"""The rule `not-returned`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import ClassVar

from riserkit.as_built.equipment import supply_lines
from riserkit.as_built.lines import sheet_lines
from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.as_built import AsBuilt
from riserkit.model.cabling import LengthBasis
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated, stated
from riserkit.wiring.as_built import designed_circuit
from riserkit.wiring.cables import CableKind
from riserkit.wiring.landed import conductor_of
from riserkit.wiring.readings.judged import line_of

_MOST_NAMED = 6


class NotReturned:
    """Everything that an as-built set shows has come back from site.

    Why:
        What nobody has looked at is drawn as designed. On a set that says `as built` the next crew takes it for what is in
        the wall.
    Measures:
        Of each opening: whether it came back as done, its landings, its readings, and how the lengths of its cables are
        known, its photographs. Of each backbone cable its length, of each supply in a closet what its terminals show.
        Only on a site worked out as built.
    Limit:
        Done; every conductor confirmed; every line of the test sheet read; every length measured, or stated by someone; every
        photograph there that a row names.
    Remedy:
        Return what is missing.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "not-returned"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """Findings for each opening, one for each thing that is missing, or a pass; and for each backbone cable."""
        built = design.site.as_built
        if built is None:
            return
        for door in design.doors:
            found = [*self._door(design, door, built)]
            yield from found or [stated(self, door.subject, True, "Done; landings, readings and lengths came back.")]
        for cable in design.pathway_cables:
            if cable.kind is CableKind.BACKBONE and not _is_known(cable.basis):
                yield not_evaluated(
                    self, ("cable", cable.subject), f"Cable {cable.label} is {cable.basis}, not measured.",
                    "Measure it and return its length.", about="length",
                )  # fmt: skip
        yield from self._supplies(design, built)
        site = ("site", design.site.info.name)
        for words in (words for mark, words in built.unmatched if not mark):
            yield self._without_place(site, words)

    def _supplies(self, design: Design, built: AsBuilt) -> Iterator[Finding]:
        """What nobody has measured at the supplies of closets."""
        returned = {row.equipment: row for row in built.equipment}
        for supply in design.site.supplies:
            row = returned.get(supply.id)
            lines = supply_lines(design, supply) if supply.closet else ()
            missing = [line.what for line in lines if row is None or getattr(row, line.column) is None]
            if missing:
                yield not_evaluated(
                    self, ("supply", supply.id), f"Nobody has returned what was measured: {'; '.join(missing)}.",
                    f"Measure at {supply.id} and return: {'; '.join(missing)}.", about="readings",
                )  # fmt: skip

    def _without_place(self, subject: tuple[str, str], words: str) -> Finding:
        return not_evaluated(
            self, subject, f"What came back of another revision has no place in this design: {words}.",
            f"Return {words} again with the papers of now.", about=words,
        )  # fmt: skip

    def _door(self, design: Design, door: DoorDesign, built: AsBuilt) -> Iterator[Finding]:
        subject = door.subject
        row = built.door.get(door.mark)
        if row is None:
            yield not_evaluated(
                self, subject, "Nobody has returned it as done: it is drawn as designed.",
                f"Return opening {door.mark} as done or not.", about="door",
            )  # fmt: skip
        elif row.done != "yes":
            how = "partly done" if row.done == "partly" else "not done"
            found = stated(
                self, subject, False, f"It is {how}: {row.reason} ({row.by}, {row.date.isoformat()}).", about="door",
                remedy="Finish it and return it as done.",
            )  # fmt: skip
            yield replace(found, severity=Severity.ERROR)
        yield from self._landings(door, built)
        yield from self._readings(design, door, built)
        yield from self._lengths(design, door)
        for words in (words for mark, words in built.unmatched if mark == door.mark):
            yield self._without_place(subject, words)
        yield from self._photographs(door, built)

    def _photographs(self, door: DoorDesign, built: AsBuilt) -> Iterator[Finding]:
        there = {photo.name for photo in built.kept_photos}
        missing = [row.photo for row in built.photos if row.opening == door.mark and row.photo not in there]
        if missing:
            yield not_evaluated(
                self, door.subject, f"Photographs that were named and never came: {', '.join(missing)}.",
                "Put them beside the table that names them and return it again, or say with --photos where they are.",
                about="photographs",
            )  # fmt: skip

    def _landings(self, door: DoorDesign, built: AsBuilt) -> Iterator[Finding]:
        circuit = designed_circuit(door.wiring)
        if circuit is None:
            return
        rows = built.landings_of.get(door.mark, ())
        said = {c.ref for row in rows if (c := conductor_of(circuit.netlist, row)) is not None}
        missing = [c.ref for c in circuit.netlist.conductors if c.ref not in said]
        if missing:
            yield not_evaluated(
                self, door.subject,
                f"Landings that nobody has confirmed: {_some('conductor', missing, len(circuit.netlist.conductors))}.",
                f"Check the landing of {_some('conductor', missing, len(circuit.netlist.conductors))} and return it, as drawn or not.",
                about="landings",
            )  # fmt: skip

    def _readings(self, design: Design, door: DoorDesign, built: AsBuilt) -> Iterator[Finding]:
        lines = sheet_lines(design, door)
        read = {id(line_of(lines, row)) for row in built.readings_of.get(door.mark, ())}
        missing = [str(n) for n, line in enumerate(lines, start=1) if id(line) not in read]
        if missing:
            yield not_evaluated(
                self, door.subject, f"No readings came back: {_some('line', missing, len(lines))} of its test sheet.",
                f"Take the readings of {_some('line', missing, len(lines))} and return them.", about="readings",
            )  # fmt: skip

    def _lengths(self, design: Design, door: DoorDesign) -> Iterator[Finding]:
        cables = [c for c in (*design.pathway_cables, *design.door_cables) if c.mark == door.mark]
        unknown = {c.called: c.basis for c in cables if not _is_known(c.basis)}
        if unknown:
            told = ", ".join(f"{name} {basis}" for name, basis in unknown.items())
            yield not_evaluated(
                self, door.subject, f"Lengths that nobody has measured: {told}.",
                f"Measure and return the lengths of {', '.join(unknown)}.", about="lengths",
            )  # fmt: skip


def _is_known(basis: str) -> bool:
    return basis in (str(LengthBasis.MEASURED), str(LengthBasis.STATED))


def _some(what: str, names: list[str], of: int) -> str:
    """Which of how many, in words, such as `conductors 3 and 4 of 11`."""
    if len(names) == of:
        return f"every {what}"
    shown = ", ".join(names[:_MOST_NAMED]) + (
        f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else ""
    )
    return f"{what}{'s' if len(names) > 1 else ''} {shown} of {of}"
