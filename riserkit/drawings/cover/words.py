"""Words of the cover sheet: general notes, conventions, and the abbreviations that the set really uses."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from riserkit.design import Design
from riserkit.drawings.cover.details import colour_letters
from riserkit.drawings.dxf.document import FALLBACK_STYLE
from riserkit.drawings.dxf.layers import LAYERS
from riserkit.drawings.dxf.lettering import smallest_mm
from riserkit.drawings.dxf.paper import PLOT_STYLES
from riserkit.drawings.dxf.text import (
    FALLBACK_FILE,
    FALLBACK_NAME,
    FONT_FILE,
    FONT_NAME,
    needs_fallback,
)
from riserkit.drawings.riser.content import BASIS_LETTERS, LOCK_LETTERS
from riserkit.drawings.riser.notes import BASIS_WORDS, LETTER_WORDS
from riserkit.drawings.setting.scale import DrawingScale
from riserkit.model.cabling import CableType
from riserkit.model.parts import Lock
from riserkit.model.site import Site
from riserkit.quantities.printed import UnitSystem
from riserkit.standards.egress import STANDING_CAUTIONS
from riserkit.standards.sheets import TEXT_HEIGHTS_MM

GENERAL: Final = (
    "Read plans, riser, door details and schedules together. Labels are the same on all of them; the schedules hold "
    "every cable's length and port.",
    "Lengths are installed cable including the slack stated, without patch cords. Check each route on site before cutting.",
    "Cut back each unused conductor and insulate it by itself.",
    "Where a calculation lacks data it says so and is no approval; see the open findings.",
    "Mark differences found on site on a print and report them to the designer before work goes on.",
)
NUMBERING: Final = (
    "Sheets are named by discipline (T), type and number: T-0 general, T-1 plans, T-5 details (T-501 and the opening's "
    "mark; T-502 and a mark a failure diagram; T-511 and on openings wired alike), T-6 schedules and diagrams, of which "
    "T-601 to T-650 are the riser and T-651 on the schedules (NCS, sheet types from memory)."
)
_MOST_ROLES: Final = 3


def general_notes(site: Site, scale: DrawingScale | None) -> tuple[str, ...]:
    """Numbered notes, the standing cautions first."""
    info = site.info
    codes = [code for code in (info.building_code, info.electrical_code, info.fire_code) if code]
    named = f"Codes named for this site: {'; '.join(codes)}." if codes else (
        "No code is named for this site; the designer names the adopted ones before issue."
    )  # fmt: skip
    drawn = (f"Plans are drawn {scale.text}; diagrams are not to scale.",) if scale else ()
    return (
        *STANDING_CAUTIONS,
        named,
        *GENERAL,
        NUMBERING,
        *drawn,
        *_conventions(info.unit_system),
        *_other_scripts(site),
    )


def _conventions(unit_system: UnitSystem) -> Iterator[str]:
    least_mm = smallest_mm(unit_system)
    used = ", ".join(f"{height:g}" for height in TEXT_HEIGHTS_MM if least_mm <= height <= 10)
    asked = f"{least_mm:g} mm (3/32 in)" if unit_system == "imperial" else f"{least_mm:g} mm"
    yield (
        f"Lettering {used} mm high after ISO 3098-1, never below {asked} as plotted; line weights in the "
        "steps of ISO 128-2; frame after ISO 5457, title block after ISO 7200 (from memory)."
    )
    yield (
        f"All prints black by the table of plot styles {PLOT_STYLES} beside the drawings: line type, weight and letters "
        "carry the meaning; colour carries none."
    )
    yield f"All lettering is in {FONT_NAME}, an open font; its file {FONT_FILE} is beside the drawings. Install it first."


def _other_scripts(site: Site) -> Iterator[str]:
    """That another font is needed, where a text of the site has letters that the shipped one lacks."""
    if needs_fallback(site.model_dump_json()):
        yield (
            f"Scripts that it lacks are in the text style {FALLBACK_STYLE}: install {FALLBACK_NAME} ({FALLBACK_FILE}, open, not "
            "beside the drawings), or give that style a font of yours that has them."
        )


def layer_rows() -> tuple[tuple[str, str, str, str, str], ...]:
    """Layers with weight, line type and colour index on the screen; those that do not plot are left out."""
    return tuple(
        (layer.name, f"{layer.weight_mm:.2f}", layer.linetype.capitalize(), str(layer.color), layer.description)
        for layer in LAYERS
        if layer.plots
    )


def abbreviations(design: Design, *, riser: bool, doors: bool) -> tuple[tuple[str, str], ...]:
    """Letters and their meaning, by the letters, only those that the set's sheets use.

    Args:
        design: the whole design.
        riser: the set has a riser diagram, whose letters are then explained.
        doors: the set has door details, whose colour letters are then explained.
    """
    found = dict(_always(design))
    if riser:
        found.update(_riser_letters(design))
    if doors:
        found.update(colour_letters(design))
    return tuple(sorted(found.items(), key=lambda item: (item[0].upper(), item[0])))


def _always(design: Design) -> Iterator[tuple[str, str]]:
    yield "AHJ", "authority having jurisdiction"
    yield "DC", "direct current"
    if any(_gauge(cable) for cable in _cables(design)):
        yield "AWG", "American wire gauge"
    if design.site.switches:
        yield "SW", "network switch"
        yield "PoE", "power over Ethernet (IEEE 802.3)"
        yield "UPS", "uninterruptible power supply"


def _gauge(cable: CableType) -> bool:
    return bool(cable.gauge) and "AWG" in str(cable.gauge)


def _cables(design: Design) -> Sequence[CableType]:
    names = {door.cable.cable_type for door in design.doors if door.cable is not None}
    return [design.site.cable_type[name] for name in sorted(names) if name in design.site.cable_type]


def terminal_letters(design: Design) -> tuple[tuple[str, str], ...]:
    """Letters of terminals in the doors' wiring, with what each is for on the devices that have it."""
    roles: dict[str, dict[str, None]] = {}
    for door in design.doors:
        for component in door.wiring.netlist.components if door.wiring.netlist is not None else ():
            for terminal in component.terminals:
                if terminal.role and terminal.name[:1].isalpha():
                    roles.setdefault(terminal.name, {})[terminal.role] = None
    return tuple((name, "; ".join(list(roles[name])[:_MOST_ROLES])) for name in sorted(roles))


def _riser_letters(design: Design) -> Iterator[tuple[str, str]]:
    routes = [cable.route for cable in (*(d.cable for d in design.doors), *design.backbone) if cable is not None]
    used = {BASIS_LETTERS[route.basis] for route in routes if route is not None}
    yield from ((f"({letter})", words) for letter, words in BASIS_WORDS.items() if letter in used)
    locks = [design.site.part.get(door.opening.lock) for door in design.doors]
    letters = {LOCK_LETTERS[lock.kind] for lock in locks if isinstance(lock, Lock)}
    yield from ((letter, LETTER_WORDS[letter]) for letter in sorted(letters) if letter in LETTER_WORDS)
    if any(supply.opening for supply in design.site.supplies):
        yield "PS", LETTER_WORDS["PS"]
    yield "E, W", "open finding: error, warning"
    yield "C0 to C8", "class that the door's powered device asks for"
