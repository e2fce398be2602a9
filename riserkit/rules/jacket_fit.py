"""The rule `jacket-fit`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import ClassVar

from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Harm, Severity
from riserkit.model.cabling import CableType
from riserkit.quantities.counting import counted
from riserkit.quantities.printed import format_length
from riserkit.rules._shared.base import Subject, not_evaluated, stated
from riserkit.rules._shared.lookups import listed
from riserkit.rules._shared.spaces import Spaces
from riserkit.standards import jackets
from riserkit.standards.nec import cite_nec
from riserkit.standards.source import NotTabulatedError
from riserkit.wiring.cables import CableKind, DesignCable

_Place = tuple[str, bool]
"""A space, and whether the cable is in conduit there."""
_LOCK_POWER = "lock power"
_MOST_OFFERED = 3
_AT_DOOR = "cables at the door"
_NOT_STATED = "spaces not stated"
_IN_SPACE = {"outdoor": "outdoors", "plenum": "in a plenum", "riser": "in a riser", "general": "in a general space"}
_OF_OPENING = {"lock": "lock_cable", "contact": "contact_cable", "rex": "rex_cable"}
"""Column of an opening that states the type of a cable, by what it serves; the type of any other is stated in a run."""
_RUN_END = {"feed": "supply"}
"""Device at a run's end, where it is called otherwise than what the cable serves."""


class JacketFit:
    """Each cable's jacket is listed for every space that it runs through.

    Why:
        A riser cable in a plenum carries fire and smoke to where people breathe. An inspector has it pulled out
        again.
    Measures:
        The listing mark of every cable against the spaces on its way. For PoE cables, backbone and lock power from
        elsewhere: each pathway segment, and the last stretch to the opening: of a PoE cable outdoors where the
        controller is, else above the ceiling there. For cables between devices at a door: the space above the ceiling, or
        outdoors at an outdoor gate. A segment that states no space is a riser between levels, else it lies above its
        level's ceiling, one between buildings nowhere that is known. One through a floor that is stated as general is asked,
        where the cable is not fit for a riser.
    Limit:
        The marks that may run in the open in a plenum, a riser, a general space, or outdoors. Within conduit the code
        may allow more, so there it is a warning. A mark that the table does not know, a route without known segments
        and spaces that nobody states are not evaluated; the last is one finding of the site.
    Remedy:
        A cable type of the site's list that is fit for all spaces of the route, and the length of it.
    Source:
        NEC 800.113 and Table 722.135(B) in the 2023 edition (verified), cited by the site's edition; outdoors: common
        practice, no source.
    """

    name: ClassVar[str] = "jacket-fit"
    source: ClassVar[str] = cite_nec("cable locations", "NEC 2023")
    harm: ClassVar[Harm] = Harm.CODE

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each opening, backbone cable and lock power cable, and for each opening's cables at the door."""
        source = cite_nec("cable locations", design.site.info.electrical_code)
        yield from (replace(finding, source=source) for finding in _Judge(self, design).findings())


class _Judge:
    def __init__(self, rule: JacketFit, design: Design) -> None:
        self._rule, self._design = rule, design
        self._spaces = Spaces(design)
        self._fits: dict[tuple[str, str], bool | None] = {}
        self._unstated: dict[str, None] = {}

    def findings(self) -> Iterator[Finding]:
        design = self._design
        for door in design.doors:
            if door.cable is None:
                yield self._unknown_route(door.subject)
        for cable in design.pathway_cables:
            yield from self._on_pathways(cable)
        yield from self._at_doors()
        if self._unstated:
            yield self._not_stated(tuple(self._unstated))

    def _on_pathways(self, cable: DesignCable) -> Iterator[Finding]:
        subject: Subject = ("opening", cable.mark) if cable.mark else ("cable", cable.subject)
        about = _LOCK_POWER if cable.kind is CableKind.LOCK_POWER else ""
        kind = self._design.site.cable_type.get(cable.cable_type)
        if kind is None:
            yield self._unknown_route(subject, about)
            return
        last = self._last_stretch(cable)
        found: list[tuple[_Place, str]] = [
            ((space, self._spaces.is_conduit(name)), f"pathway {name}")
            for name in cable.segments
            if (space := self._spaces.of_segment(name))
        ]
        found += [((last, False), "the last stretch to the opening")] if last else []
        verdict = self._verdict(subject, cable, kind, found, about)
        if verdict is not None:
            yield verdict
        elif not cable.segments:
            yield self._unknown_route(subject, about)
        elif len(found) < len(cable.segments) + bool(cable.mark):
            self._unstated[cable.mark or cable.subject] = None
        elif shafts := self._shafts(kind, cable):
            message = f"Pathway {listed(shafts)}, stated as general, leads to another level; {_marked(kind)} may not run in a riser."
            remedy = (
                f"State space riser of {listed(shafts)} and a cable marked for it; or accept, with the shaft or raceway that the"
                " code allows."
            )
            yield not_evaluated(self._rule, subject, message, remedy, about=about)
        else:
            spaces = _in_spaces(space for (space, _), _ in found)
            yield stated(self._rule, subject, True, f"{_marked(kind)} may run in the open {spaces}.", about=about)

    def _shafts(self, kind: CableType, cable: DesignCable) -> list[str]:
        """Segments through a floor that are stated to be no riser, of a cable that is not fit for one."""
        if self._fit(kind, "riser") is not False:
            return []
        return [name for name in cable.segments if self._spaces.crosses_floor(name)]

    def _last_stretch(self, cable: DesignCable) -> str | None:
        """Lock power ends at the module on the secured side; a PoE cable at the controller."""
        if not cable.mark:
            return None
        opening = self._design.site.opening[cable.mark]
        return (
            self._spaces.at_door(opening) if cable.kind is CableKind.LOCK_POWER else self._spaces.last_stretch(opening)
        )

    def _verdict(
        self, subject: Subject, cable: DesignCable, kind: CableType, found: Sequence[tuple[_Place, str]], about: str
    ) -> Finding | None:
        """A finding where something is against the jacket; None where nothing that is known does."""
        if not kind.jacket:
            return self._no_jacket(subject, [kind], about)
        unfit = [(place, where) for place, where in found if self._fit(kind, place[0]) is False]
        if not unfit:
            unknown = any(self._fit(kind, space) is None for (space, _), _ in found)
            return self._no_mark(subject, [kind], about) if unknown else None
        in_conduit = all(conduit for (_, conduit), _ in unfit)
        spaces = sorted({space for (space, _), _ in found})
        where = listed(dict.fromkeys(where for _, where in unfit)) + (" within conduit" if in_conduit else "")
        bad = _in_spaces(space for (space, _), _ in unfit)
        return stated(
            self._rule, subject, False, f"{_marked(kind)} may not run in the open {bad}; its route passes there: {where}.",
            severity=Severity.WARNING if in_conduit else Severity.ERROR,
            remedy=self._remedy(kind, spaces, cable.length_m), about=about,
        )  # fmt: skip

    def _at_doors(self) -> Iterator[Finding]:
        known = {door.mark: self._spaces.at_door(door.opening) for door in self._design.doors}
        for door in self._design.doors:
            if known[door.mark] is None and door.wiring.build is not None:
                self._unstated[door.mark] = None
        if not any(known.values()):
            return
        held: dict[str, list[tuple[DesignCable, CableType]]] = {}
        for cable in self._design.door_cables:
            kind = self._design.site.cable_type.get(cable.cable_type)
            if kind is not None:
                held.setdefault(cable.mark, []).append((cable, kind))
        for door in self._design.doors:
            space = known[door.mark]
            if space is not None and door.mark in held:
                yield self._at_door(door, space, held[door.mark])

    def _at_door(self, door: DoorDesign, space: str, cables: Sequence[tuple[DesignCable, CableType]]) -> Finding:
        subject: Subject = door.subject
        kinds = tuple({kind.id: kind for _, kind in cables}.values())
        where = "outdoors at the gate" if space == "outdoor" else f"in the {space} space above the ceiling"
        unfit = [kind for kind in kinds if kind.jacket and self._fit(kind, space) is False]
        if unfit:
            ways = "; ".join(self._instead(kind, space) for kind in unfit)
            return stated(
                self._rule, subject, False,
                f"{listed(_marked(kind) for kind in unfit)} may not run in the open {where}; cables between devices do.",
                remedy=f"Use {ways}. {_stated_where(cable.serves for cable, kind in cables if kind in unfit)}", about=_AT_DOOR,
            )  # fmt: skip
        if bare := [kind for kind in kinds if not kind.jacket]:
            return self._no_jacket(subject, bare, _AT_DOOR)
        if odd := [kind for kind in kinds if self._fit(kind, space) is None]:
            return self._no_mark(subject, odd, _AT_DOOR)
        marks = listed(sorted({kind.jacket for kind in kinds}))
        return stated(
            self._rule, subject, True, f"Cables at the door, {marks}, may run in the open {where}.", about=_AT_DOOR
        )

    def _unknown_route(self, subject: Subject, about: str = "") -> Finding:
        cable = f"{about} cable" if about else "cable"
        return not_evaluated(
            self._rule, subject,
            f"The type of its {cable}, or the spaces on its route, are unknown.",
            "Route it over pathway segments that state their space.", about=about,
        )  # fmt: skip

    def _no_jacket(self, subject: Subject, kinds: Iterable[CableType], about: str) -> Finding:
        names = listed(kind.id for kind in kinds)
        return not_evaluated(
            self._rule, subject, f"No jacket is stated of {names}.", f"State the jacket of {names}, for example CMP.",
            about=about,
        )  # fmt: skip

    def _no_mark(self, subject: Subject, kinds: Iterable[CableType], about: str) -> Finding:
        names = listed(_marked(kind) for kind in kinds)
        return not_evaluated(
            self._rule, subject, f"Jacket {names} is not a listing mark in the table.",
            "State a listing mark, for example CMP, or CMR/OSP of one made for outdoors; or have this cable accepted.", about=about,
        )  # fmt: skip

    def _not_stated(self, names: Sequence[str]) -> Finding:
        marks = [name for name in names if name in self._design.site.opening]
        cables = [name for name in names if name not in self._design.site.opening]
        of = " and ".join([
            *([counted(len(marks), "opening")] if marks else []),
            *([f"backbone {listed(cables)}"] if cables else []),
        ])  # fmt: skip
        return not_evaluated(
            self._rule, ("site", self._design.site.info.name),
            f"What space their cables run through is not stated in full for {of}: {listed(marks or cables)}.",
            "State ceiling_space of each level, plenum or general, and space of each pathway that lies elsewhere.",
            about=_NOT_STATED,
        )  # fmt: skip

    def _fit(self, kind: CableType, space: str) -> bool | None:
        key = (kind.jacket, space)
        if key not in self._fits:
            try:
                self._fits[key] = jackets.jacket_allowed(kind.jacket, space)
            except NotTabulatedError:
                self._fits[key] = None
        return self._fits[key]

    def _suitable_types(self, kind: CableType, spaces: Iterable[str]) -> list[str]:
        """Cable types of the site that would do, with their marks."""
        spaces = tuple(spaces)
        return sorted(
            f"{other.id} ({other.jacket})"
            for other in self._design.site.cable_types
            if other.kind == kind.kind and other.category == kind.category and other.conductors >= kind.conductors
            and (kind.kind != "control" or other.gauge == kind.gauge) and other.jacket
            and all(self._fit(other, space) for space in spaces)
        )  # fmt: skip

    def _remedy(self, kind: CableType, spaces: Sequence[str], length_m: float | None) -> str:
        length = f"{format_length(length_m, self._design.site.info.unit_system)} of " if length_m is not None else ""
        if fit := self._suitable_types(kind, spaces):
            return f"Pull {length}{' or '.join(fit[:_MOST_OFFERED])} instead."
        return f"Pull {length}a cable that is marked for {' and '.join(spaces)} spaces, or take another route."

    def _instead(self, kind: CableType, space: str) -> str:
        fit = [
            name for name in self._suitable_types(kind, [space]) if name.startswith(kind.id)
        ] or self._suitable_types(kind, [space])
        return f"{fit[0]} in place of {kind.id}" if fit else f"a cable marked for {space} spaces in place of {kind.id}"


def _in_spaces(spaces: Iterable[str]) -> str:
    return " and ".join(_IN_SPACE.get(space, f"in {space}") for space in sorted(set(spaces)))


def _stated_where(serves: Iterable[str]) -> str:
    """In which columns and runs the types of these cables are stated, by what each serves."""
    served = tuple(dict.fromkeys(serves))
    columns = [_OF_OPENING[name] for name in served if name in _OF_OPENING]
    runs = [f"MARK/{_RUN_END.get(name, name)}" for name in served if name not in _OF_OPENING]
    places = ([f"as {', '.join(columns)} of the opening"] if columns else []) + (
        [f"in runs to {', '.join(runs)}"] if runs else []
    )
    return f"State it {' and '.join(places)}."


def _marked(kind: CableType) -> str:
    return f"{kind.jacket} of {kind.id}"
