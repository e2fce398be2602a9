"""The legend and the notes of a riser sheet: what is really drawn there, and how it is to be read."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from riserkit.drawings.dxf import layers
from riserkit.drawings.dxf.pens import BUNDLE_PEN, CABLE_PEN, Pen
from riserkit.drawings.dxf.symbols import RISER_SYMBOLS
from riserkit.drawings.riser.places import RiserLayout
from riserkit.drawings.riser.values import SUPPLY, UNKNOWN, Drop, Flag, OpeningGroup
from riserkit.drawings.setting.legend import FlagSample, LegendEntry, LetterSample, LineSample, SymbolSample
from riserkit.holds import HOLD, HOLD_MEANS
from riserkit.model.info import SiteInfo
from riserkit.standards.egress import STANDING_CAUTIONS

BASIS_WORDS: Final = {
    "m": "length measured",
    "s": "length stated by the user",
    "r": "length routed over the pathways, drops and slack included",
    "e": "length estimated, no pathway known",
}
LETTER_WORDS: Final = {
    "ES": "electric strike",
    "EML": "electromagnetic lock",
    "EED": "electrified exit device",
    "EL": "electrified latch",
    "safe": "fail-safe: unlocked without power",
    "secure": "fail-secure: locked without power",
    SUPPLY: "direct current supply at the opening",
    UNKNOWN: "not stated, or not known",
}
READING: Final = (
    "Lengths are installed cable without patch cords. Not to scale; elevations are those of the floors.",
    "Lines on layers T-CABL horizontal cable, T-CABL-BKBN backbone, T-DIAG-ROOM closets, T-ANNO-IDEN labels, "
    "T-ANNO-MATC match lines. Line weight and letters carry the meaning; colour carries none.",
    "Cables on one line run together and are separate cables; lines that cross with an arc do not meet.",
)


def riser_notes(info: SiteInfo) -> tuple[str, ...]:
    """The notes, the standing cautions first."""
    named = [c for c in (info.building_code, info.electrical_code, info.fire_code) if c]
    codes = (f"Codes named for this site: {'; '.join(named)}.",) if named else ()
    return (*STANDING_CAUTIONS, *codes, *READING)


def riser_legend(layout: RiserLayout) -> tuple[LegendEntry, ...]:
    """Entries for what the diagram shows, each kind once."""
    items = [placed.item for row in layout.rows for placed in row.items]
    drops = [drop for item in items for drop in (item.members if isinstance(item, OpeningGroup) else (item,))]
    shown = [item for item in items if isinstance(item, Drop)]
    return (
        *_symbols(layout, shown),
        *_lines(layout, items),
        *_flags(layout, drops),
        *_letters(layout, drops),
    )


def _symbols(layout: RiserLayout, drops: list[Drop]) -> Iterator[LegendEntry]:
    used = {drop.symbol for drop in drops}
    used |= {device.symbol for placed in layout.closets for device in placed.box.devices}
    used |= {"closet"} if layout.closets else set()
    yield from (LegendEntry(SymbolSample(s.name), s.meaning) for s in RISER_SYMBOLS if s.name in used)


def _lines(layout: RiserLayout, items: list[Drop | OpeningGroup]) -> Iterator[LegendEntry]:
    if layout.tags:
        yield LegendEntry(LineSample(Pen(layers.BACKBONE)), "Backbone cable: label, type, length")
    if any(row.cables == 1 for row in layout.rows) or any(isinstance(item, Drop) for item in items):
        yield LegendEntry(LineSample(CABLE_PEN), "Horizontal cable; below the opening its label, length, type, devices")
    if any(row.cables > 1 for row in layout.rows):
        yield LegendEntry(LineSample(BUNDLE_PEN, "8"), "As many cables on one line")


def _flags(layout: RiserLayout, drops: list[Drop]) -> Iterator[LegendEntry]:
    used = {flag for drop in drops for flag in drop.flags} | {flag for tag in layout.tags for flag in tag.cable.flags}
    for placed in layout.closets:
        used |= {*placed.box.flags, *(flag for device in placed.box.devices for flag in device.flags)}
    if any(drop.held for drop in drops):
        yield LegendEntry(LetterSample(HOLD), HOLD_MEANS)
    if any(drop.power for drop in drops):
        yield LegendEntry(
            LetterSample("from"),
            "Cable for lock power from the supply named, beside the horizontal cable: label, length",
        )
    if Flag("E") in used:
        yield LegendEntry(FlagSample("E"), "Open finding, error")
    if Flag("W") in used:
        yield LegendEntry(FlagSample("W"), "Open finding, warning")
    if any(flag.accepted for flag in used):
        yield LegendEntry(FlagSample("A1", accepted=True), "Accepted finding, see its number in the table")


def _letters(layout: RiserLayout, drops: list[Drop]) -> Iterator[LegendEntry]:
    codes, devices = [drop.codes for drop in drops], [d for placed in layout.closets for d in placed.box.devices]
    bases = {drop.basis for drop in drops} | {tag.cable.basis for tag in layout.tags}
    for letter, words in BASIS_WORDS.items():
        if letter in bases:
            yield LegendEntry(LetterSample(f"({letter})"), words)
    used = {letters for code in codes for letters in (code.lock, code.action, *((SUPPLY,) if code.supply else ()))}
    if any(device.unknown for device in devices):
        used.add(UNKNOWN)
    yield from (LegendEntry(LetterSample(k), words) for k, words in LETTER_WORDS.items() if k in used)
    classes = [code.poe_class for code in codes if code.poe_class is not None]
    if classes:
        yield LegendEntry(LetterSample(f"C{min(classes)}"), "class that the door's powered device asks for")
    if any(code.locks == 2 for code in codes):
        yield LegendEntry(LetterSample("2x"), "two locks, one on each leaf")
    if any(device.symbol == "switch" for device in devices):
        yield LegendEntry(LetterSample("PoE"), "power that its doors draw at most, of what the switch can feed")
        yield LegendEntry(LetterSample("UPS"), "fed by an uninterruptible supply")
