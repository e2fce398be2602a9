"""The rule `remarks-not-shown`."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import ClassVar, Final

from riserkit.design import Design
from riserkit.findings import Finding, Harm
from riserkit.model.opening import Opening
from riserkit.quantities.counting import counting_order
from riserkit.rules._shared.base import COMMON_PRACTICE, not_evaluated
from riserkit.rules._shared.lookups import listed
from riserkit.rules._shared.said import NOT_SWINGING, is_read

_PARTED: Final = re.compile(r"\s*[;\n]\s*|(?<=[a-z\d)])\.\s+(?=[A-Z])")
_HEADED: Final = re.compile(r"([^:]{1,60}): ")
_NOTES: Final = re.compile(
    r"\b(?:remarks?|notes?|comments?|bemerkung\w*|remarques?|observaci\w+|notas?)\b", re.IGNORECASE
)
_COLUMN_ROWS: Final = 3
"""A heading that so many openings have is a column of a door list, not a sentence of somebody's."""
_SAME_WIRES: Final = (
    "Test that cable and know all that is on it, or pull the cables of this design; disconnect what shares it."
)
_LATER: Final = (
    "No sheet shows {it}: settle who wires and programs it, draw it on a sheet of its own, and test it with the door."
)
_NO_JOINT: Final = (
    "No sheet shows {it}. Pull the cable in one piece; or count what it adds to the channel, run power over it at full load, and"
    " draw it on a sheet of its own."
)
_WIRES: Final = r"(?:cabl|wir(?:e|ing)|conductor|conduit|circuit)\w*"
_RESISTORS: Final = "resistors on inputs"
_ON_INPUTS: Final = ("contact", "rex", "release", "lock")
"""Columns of parts whose contacts are wired to inputs."""
_FUNCTIONS: Final[Mapping[str, tuple[re.Pattern[str], str]]] = {
    name: (re.compile(words, re.IGNORECASE), remedy)
    for name, words, remedy in (
        ("a lockdown", r"\block[- ]?down\w*|\bamok\w*", _LATER),
        ("an elevator", r"\b(?:elevators?|lifts?) (?:recall|control|call|door|car|lobby)\b|\belevators?\b|\baufz(?:u|ü)g\w*", _LATER),
        (
            "an automatic operator",
            r"\b(?:door|gate|auto(?:matic)?|power|swing|ada|low[- ]energy) operators?\b|\bauto[- ]?operators?\b"
            # a person too may be one, who releases or watches it
            r"|(?<!by )(?<!by the )\boperator\b"
            r"|\bautomatic (?:sliding |swing(?:ing)? )?doors?\b|\bauto(?:matic)? opener\b|\bdrehtürantrieb\w*|\bpush[- ]plate\b",
            "No sheet shows {it}. Have the lock release before the operator runs, by the operator's own relay or a delay, and keep it off"
            " while the door is locked; settle who wires it, and draw it on a sheet of its own.",
        ),
        (
            "a cable used again or shared",
            rf"\b(?:re-?us|shar)\w+[^;]*\b{_WIRES}|\b{_WIRES}[^;]*\b(?:re-?us|shar)\w+|\b(?:existing|old) (?:\w+ )?{_WIRES}",
            _SAME_WIRES,
        ),
        (
            "equipment or a joint in the PoE cable",
            r"\b(?:consolidation points?|couplers?|splic(?:e|es|ed)|(?:poe |lan |ethernet )?(?:extenders?|repeaters?)|media converters?"
            r"|midspans?|(?:poe )?injectors?)\b",
            _NO_JOINT,
        ),
        (
            _RESISTORS,
            r"\bend[- ]of[- ]line\b|\b[sd]?eolr?\b|\bsupervised (?:inputs?|loops?|circuits?|contacts?)\b|\bresistors?\b",
            "Inputs on these sheets are contacts without resistors, and read open or closed. Put resistors at the contact, not at the"
            " controller, set the controller for them, and draw {it} on a sheet of its own; or leave them out.",
        ),
        (
            "a leaf that does not swing",
            NOT_SWINGING.pattern,
            "Sheets show a swinging leaf. Settle with the supplier of {it} where lock and contact stand and what moves it, and draw"
            " it on a sheet of its own.",
        ),
        ("a laser or other hazard", r"\blasers?\b|\bx-?rays?\b|\bradiation\b|\bhigh voltage\b|\brobots?\b", _LATER),
        ("an emergency stop", r"\b(?:emergency|e)[- ]stops?\b|\bnot-?aus\b", _LATER),
        ("an override", r"\b(?:override|overrid(?:es|den)|key[- ]?switch\w*|bypass\w*)\b", _LATER),
        (
            "an alarm or a call",
            r"\b(?:duress|panic (?:button|alarm)|hold-?up|sounders?|sirens?|horns?|local alarm|intrusion|burglar|intercoms?|door ?bells?"
            r"|door ?phones?|nurse call|metal detectors?)\b",
            _LATER,
        ),
        (
            "smoke or ventilation",
            r"\b(?:smoke (?:vent\w*|control|exhaust|extract\w*)|pressuri[sz]\w+|gas (?:detect\w+|suppression)|halon|sprinklers?)\b",
            _LATER,
        ),
        (
            "a vehicle or gate control",
            r"\b(?:loop detectors?|safety edges?|photo ?cells?|light curtains?|barrier arms?|traffic lights?)\b",
            _LATER,
        ),
    )
}  # fmt: skip
_SEE: Final = "See that sheets, columns or others' drawings cover it; then accept the finding with these doors."


class RemarksNotShown:
    """What remarks say, the drawings show; what they do not show is told.

    Why:
        Remarks stand on the door's sheet beside a wiring that was worked out without them. Whoever reads `lockdown` there takes
        it that the wiring does it.
    Measures:
        The remarks of openings: words of functions that no wiring of riserkit has, such as a lockdown, an elevator, an automatic
        operator, or a cable used again, one finding for each function; and one finding for all other remarks that no rule
        takes up; titles of parts that speak of resistors on inputs. Columns of a door list, taken into remarks under one
        heading at three openings or more, are searched for these functions only.
    Limit:
        None is met by words alone: the finding is accepted, with its doors, once somebody has seen to it.
    Remedy:
        What to settle.
    Source:
        Common practice, no source.
    """

    name: ClassVar[str] = "remarks-not-shown"
    source: ClassVar[str] = COMMON_PRACTICE
    harm: ClassVar[Harm] = Harm.DOES_NOT_WORK

    def evaluate(self, design: Design) -> Iterator[Finding]:
        """A finding for each function that remarks speak of, and one for all else that nothing reads."""
        site = ("site", design.site.info.name)
        headings = _columns(design)
        functions: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
        rest: dict[str, list[str]] = defaultdict(list)
        for opening in sorted(design.site.openings, key=lambda o: counting_order(o.mark)):
            for piece in _pieces(opening):
                spoken = [name for name, (words, _) in _FUNCTIONS.items() if words.search(piece)]
                for name in spoken:
                    functions[name][piece].append(opening.mark)
                if (
                    not spoken
                    and not is_read(piece, opening, design.site.part.get(opening.lock))
                    and _heading(piece) not in headings
                ):
                    rest[piece].append(opening.mark)
            for title in _titles(design, opening):
                if _FUNCTIONS[_RESISTORS][0].search(title):
                    functions[_RESISTORS][title].append(opening.mark)
        for name, (_, remedy) in _FUNCTIONS.items():
            if found := functions.get(name):
                where = "Remarks or titles of parts" if name == _RESISTORS else "Remarks"
                message = f"{where} speak of {name}, which the design does not have: {_shown(found)}."
                yield replace(
                    not_evaluated(self, site, message, remedy.format(it=name), about=name), concerns=_marks(found)
                )
        if rest:
            message = f"Remarks that no rule reads: {_shown(rest)}."
            yield replace(not_evaluated(self, site, message, _SEE), concerns=_marks(rest))


def _titles(design: Design, opening: Opening) -> Iterator[str]:
    """Titles of the parts whose contacts are wired to its controller's inputs, each once."""
    parts = (design.site.part.get(getattr(opening, column)) for column in _ON_INPUTS)
    yield from dict.fromkeys(part.title for part in parts if part is not None)


def _pieces(opening: Opening) -> Iterator[str]:
    """The remarks in parts, each once."""
    parts = (part.strip(" .") for part in _PARTED.split(opening.remarks))
    yield from dict.fromkeys(part for part in parts if part)


def _heading(piece: str) -> str:
    """What stands before a colon, unless it says that notes follow; empty where nothing does."""
    found = _HEADED.match(piece)
    return "" if found is None or _NOTES.search(found[1]) else found[1]


def _columns(design: Design) -> frozenset[str]:
    """Headings that are columns of a door list."""
    counted = Counter(h for o in design.site.openings for h in {_heading(p) for p in _pieces(o)} if h)
    return frozenset(heading for heading, rows in counted.items() if rows >= _COLUMN_ROWS)


def _shown(found: Mapping[str, list[str]]) -> str:
    return listed(f"{listed(marks)} {piece!r}" for piece, marks in found.items())


def _marks(found: Mapping[str, list[str]]) -> tuple[str, ...]:
    return tuple(sorted({mark for marks in found.values() for mark in marks}, key=counting_order))
