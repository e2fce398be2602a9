"""A floor plan as facts: doors, walls, rooms in metres, and how units, layers and marks were found."""

from __future__ import annotations

import math
import statistics
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import numpy as np

from riserkit.importing.facts import At, DocumentNote, DoorFact, Facts, LevelFact, Severity
from riserkit.importing.names import level_named
from riserkit.importing.placing import Placing, placed, placing_of
from riserkit.importing.settings import UNITS_M, DocumentSettings
from riserkit_dxf_plan.arcs import chained_arcs, whole_arcs
from riserkit_dxf_plan.drawing_file import open_drawing
from riserkit_dxf_plan.flatten import MOST_PIECES, bare_layer, flatten
from riserkit_dxf_plan.gaps import gaps_of
from riserkit_dxf_plan.layers import is_of_demolished, role_of
from riserkit_dxf_plan.leaf_lines import hung_in
from riserkit_dxf_plan.openings import PlanDoor, doors_of, in_outer_blocks, still_doors, with_written_size
from riserkit_dxf_plan.pieces import Pieces, PlanText, Segment, edges_of
from riserkit_dxf_plan.rooms import may_be_names, rooms_of
from riserkit_dxf_plan.swings import Lines, SwungLeaf, is_candidate, leaves
from riserkit_dxf_plan.tags import Tagged, code_size_m, marks_beside, of_no_door, own_marks, tags_of
from riserkit_dxf_plan.titles import level_of_title_block, levels_of_titles
from riserkit_dxf_plan.units import LEAF_M, NAMES, UnitFound, find_unit, unit_of_sheet, wall_thickness
from riserkit_dxf_plan.walls import WallsFound, walls_of

_LEAF_ROOM_M: Final = (0.4, 1.7)
_WRITTEN_APART: Final = 0.1
_MOST_TOLD: Final = 8
_MOST_SWINGS: Final = 50_000


def read_plan(path: Path, settings: DocumentSettings) -> Facts:
    """Read a floor plan.

    Raises:
        InputError: it is no drawing, or one too large or too broken to read.
    """
    drawing = open_drawing(path)
    plan = _Plan(path, drawing.doc, settings)
    if drawing.is_cut:
        plan.note("question", "the file has no end (EOF), so it is cut short: what was drawn behind the cut is missing",
                  remedy="have it saved and sent anew")  # fmt: skip
    if drawing.faults:
        plan.note("found", drawing.faults)
    return plan.facts()


class _Plan:
    def __init__(self, path: Path, doc: Any, settings: DocumentSettings) -> None:
        self.path, self.doc, self.settings = path, doc, settings
        self.notes: list[DocumentNote] = []
        self.is_paper = False

    def note(self, severity: Severity, text: str, place: str = "", remedy: str = "") -> None:
        """One line of the report."""
        self.notes.append(DocumentNote(severity, At(self.path.name, place), text, remedy))

    def facts(self) -> Facts:
        """All that the plan says."""
        pieces = flatten(self.doc, self._layout())
        roles = {layer: role_of(layer, self._stated_layers()) for layer in pieces.layers}
        self._told_left(pieces)
        doors = [with_written_size(door) for door in in_outer_blocks(self._doors(pieces, roles), pieces.inserts)]
        unit = self._unit(doors, pieces, roles)
        # Sizes of doors and walls are true to scale; the facts are in the drawing's own unit, and are placed by the same factor.
        factor = placing_of(self.settings, unit.unit_m).factor
        unit_m = unit.unit_m * factor
        walls = self._walls(pieces, roles, unit_m)
        doors = self._plausible(doors, unit_m)
        doors += self._in_gaps(doors, walls, pieces, roles, unit_m)
        tags = tags_of(doors, pieces, roles, unit_m, own_marks(self.doc.modelspace()))
        self._told_texts(of_no_door(tags, pieces, roles))
        self._ask_of_demolished(doors, tags)
        facts = [self._door(door, tag, unit_m) for door, tag in zip(doors, tags, strict=True)]
        sized = sum(tag.size_m is not None for tag in tags)
        if sized:
            self.note(
                "inferred", f"at {sized} doors a text such as 2668 is read as a size in feet and inches, not as a mark"
            )
        rooms = tuple(rooms_of(pieces, roles, unit_m, self.path.name))
        self._told_names(may_be_names(pieces, roles), is_asked=bool(doors) and not rooms)
        self._told_references(pieces, is_asked=not walls.facts or all(door.is_gap for door in doors))
        if not facts:
            self.note("question", "no door was found: no arc with a leaf, and no block on a layer of doors",
                      remedy="say under layers on which layer the doors are")  # fmt: skip
        found = Facts(
            self.path.name, "plan", tuple(self._titles(pieces)), rooms, walls.facts, tuple(facts), notes=tuple(self.notes),
            unit_m=unit.unit_m, layers={layer: role or "ignore" for layer, role in roles.items()},
        )  # fmt: skip
        return placed(found, Placing(1 / factor))

    def _stated_layers(self) -> Mapping[str, str]:
        return {bare_layer(name): role for name, role in self.settings.layers.items()}

    def _layout(self) -> Any:
        """The model; where that is empty, the paper sheet on which most is drawn."""
        model = self.doc.modelspace()
        if len(model):
            return model
        sheets = sorted(self.doc.layouts, key=len, reverse=True)
        if sheets and len(sheets[0]):
            self.note("inferred", f"nothing is drawn in the model: the sheet {sheets[0].name!r} is read", "paper space")
            self.is_paper = True
            return sheets[0]
        return model

    def _told_left(self, pieces: Pieces) -> None:
        if pieces.hidden:
            names = ", ".join(f"{name} ({count})" for name, count in sorted(pieces.hidden.items())[:12])
            self.note(
                "left",
                f"layers that are off or frozen, and hidden entities, are not read: {names}",
                remedy="switch them on in the drawing",
            )
        if pieces.left:
            self.note(
                "left", f"not read: {', '.join(f'{count} {kind}' for kind, count in sorted(pieces.left.items()))}"
            )
        if pieces.is_cut:
            self.note("question", f"more than {MOST_PIECES} entities with all blocks taken apart: the rest is not read",
                      remedy="send the plan without what is no plan")  # fmt: skip

    def _told_references(self, pieces: Pieces, *, is_asked: bool) -> None:
        """Drawings that this one shows and does not hold; where doors or walls are missing, they are likely there."""
        if pieces.references:
            named = ", ".join(f"{name} ({file})" if file else name for name, file in sorted(pieces.references.items()))
            self.note("question" if is_asked else "left",
                      f"other drawings are shown as references, and what they hold is not read: {named}",
                      remedy="have them bound into the drawing, or send each as a source")  # fmt: skip

    def _ask_of_demolished(self, doors: Sequence[PlanDoor], tags: Sequence[Tagged]) -> None:
        gone = [
            (door, tag)
            for door, tag in zip(doors, tags, strict=True)
            if is_of_demolished(door.layer) and door.layer not in self._stated_layers()
        ]
        if gone:
            named = [tag.mark or f"at {door.middle[0]:.0f}, {door.middle[1]:.0f}" for door, tag in gone]
            said = ", ".join(named[:_MOST_TOLD]) + (", ..." if len(named) > _MOST_TOLD else "")
            layers = sorted({door.layer for door, _ in gone})
            told = f"doors on layers of what is demolished ({', '.join(layers)}) are read: {said}"
            self.note(
                "question",
                told,
                remedy=f'state layers = {{ "{layers[0]}" = "ignore" }} to leave them out, "doors" if they count',
            )

    def _told_names(self, words: Sequence[PlanText], *, is_asked: bool) -> None:
        if words:
            said = "; ".join(dict.fromkeys(" ".join(word.text.split()) for word in words[:_MOST_TOLD]))
            more = "; ..." if len(words) > _MOST_TOLD else ""
            layers = ", ".join(sorted({word.layer for word in words}))
            self.note("question" if is_asked else "left", f"texts that may name rooms are not read as such: {said}{more} (layers {layers})",
                      remedy=f'if they do, state layers = {{ "{words[0].layer}" = "rooms" }}')  # fmt: skip

    def _told_texts(self, words: Sequence[PlanText]) -> None:
        if words:
            said = "; ".join(f"{' '.join(w.text.split())[:40]} at {w.at[0]:.0f}, {w.at[1]:.0f}" for w in words[:8])
            more = "; ..." if len(words) > 8 else ""
            self.note("left", f"texts on layers of door tags that are no door's mark or size: {said}{more}",
                      remedy="state in openings.csv what they say of doors")  # fmt: skip

    def _doors(self, pieces: Pieces, roles: Mapping[str, str]) -> list[PlanDoor]:
        door_layers = frozenset(layer for layer, role in roles.items() if role == "doors")
        walls = frozenset(layer for layer, role in roles.items() if role == "walls")
        ignored = {layer for layer, role in roles.items() if role == "ignore"}
        segments = [s for s in pieces.segments if s.layer not in ignored]
        segments += [s for s in pieces.filled_edges if s.layer in door_layers]
        swings = [*pieces.swings, *(s for s in pieces.filled_swings if s.layer in door_layers)]
        arcs = [swing for swing in whole_arcs(swings) if swing.layer not in ignored and is_candidate(swing)]
        if len(arcs) > _MOST_SWINGS:
            self.note("question", f"{len(arcs)} arcs could be swings of doors; the first {_MOST_SWINGS} are read")
            arcs = arcs[:_MOST_SWINGS]
        filled = [s for fill in pieces.fills if fill.layer in walls for s in edges_of(fill)]
        swung = list(leaves(arcs, Lines([*segments, *filled]), door_layers, walls)) if arcs else []
        # Beside real arcs only what is drawn as doors is looked at: furniture and roads bend too.
        chains = [s for s in segments if s.layer in door_layers] if swung else segments
        swung += self._chained(chains, [*segments, *filled], door_layers, walls)
        found = doors_of(swung)
        swinging = frozenset(leaf.swing.insert.handle for leaf in swung if leaf.swing.insert is not None)
        return [*found, *still_doors(pieces, swinging, roles)]

    def _chained(
        self, segments: Sequence[Segment], around: Sequence[Segment], doors: frozenset[str], walls: frozenset[str]
    ) -> list[SwungLeaf]:
        """Leaves whose arcs have been drawn as chains of short lines."""
        found, used = chained_arcs(segments)
        arcs = [swing for swing in found if is_candidate(swing)][:_MOST_SWINGS]
        if not arcs:
            return []
        bent = {id(segments[n]) for n in used}
        swung = list(leaves(arcs, Lines([s for s in around if id(s) not in bent]), doors, walls))
        if swung:
            self.note("inferred", f"{len(swung)} swings are drawn as chains of short lines, not as arcs")
        return swung

    def _unit(self, doors: Sequence[PlanDoor], pieces: Pieces, roles: Mapping[str, str]) -> UnitFound:
        if self.settings.units:
            return UnitFound(UNITS_M[self.settings.units], "stated")
        swinging = [door for door in doors if door.operation == "swing"]
        widths = [door.width / door.leaves for door in swinging]
        sized = [(d.width, d.stated_m[0]) for d in doors if d.stated_m is not None and d.width > 0]
        header = int(self.doc.header.get("$INSUNITS", 0) or 0)
        box = np.array([point for s in pieces.segments for point in (s.start, s.end)] or [(0.0, 0.0)])
        spread = np.percentile(box, 98, axis=0) - np.percentile(box, 2, axis=0)
        thick = wall_thickness([s for s in pieces.segments if roles.get(s.layer) == "walls"])
        codes = [code for word in pieces.words if (code := code_size_m(word.text)) and 1.8 <= code[1] <= 2.6]
        texts = [word.text for word in pieces.words]
        sheet = None if sized else unit_of_sheet(header, widths, texts, is_paper=self.is_paper)
        found = sheet or find_unit(header, widths, sized, thick, float(max(spread)), texts)
        if found.is_asked and codes and not widths:
            found = UnitFound(0.0254, f"{found.why}; sizes such as 2668 are in feet and inches")
        name, units = ("to scale", "units and scale") if sheet else (NAMES[found.unit_m], "units")
        self.note("question" if found.is_asked else "inferred", f"one unit is {found.unit_m:g} m ({name}): {found.why}",
                  remedy=f'state {units} under document."{self.path.name}"')  # fmt: skip
        return found

    def _plausible(self, doors: Sequence[PlanDoor], unit_m: float) -> list[PlanDoor]:
        """Doors of a width that doors have; others are named and left."""
        kept, far = [], []
        for door in doors:
            leaf_m = door.width * unit_m / door.leaves
            if door.operation != "swing" or _LEAF_ROOM_M[0] <= leaf_m <= _LEAF_ROOM_M[1]:
                kept.append(door)
            elif LEAF_M[0] / 3 < leaf_m < 3 * LEAF_M[1]:
                place = f"layer {door.layer}, handle {door.handle}"
                self.note("left", f"an arc like a swing, but {leaf_m:.2f} m wide: not taken for a door", place)
            else:
                far.append(leaf_m)
        if far and not kept:
            self.note("question", f"{len(far)} arcs like swings are about {statistics.median(far):.2g} m wide: none is taken for a door",
                      remedy="state units, and of a sheet drawn to scale that too, such as scale = 100 at 1:100")  # fmt: skip
        return kept

    def _in_gaps(
        self, doors: Sequence[PlanDoor], walls: WallsFound, pieces: Pieces, roles: Mapping[str, str], unit_m: float
    ) -> list[PlanDoor]:
        """Gaps in walls without a door drawn in them: doors of a plan that draws no swing at all, else only told."""
        plain = [
            s for s in pieces.segments if roles.get(s.layer) not in ("walls", "doors") and s.layer not in walls.guessed
        ]
        gaps = [
            gap for gap in gaps_of(walls.lines, plain, unit_m)
            if all(math.dist(gap.middle, door.middle) > max(gap.width, door.width) / 2 for door in doors)
        ]  # fmt: skip
        opened = [PlanDoor(gap.middle, gap.along, gap.width, 1, gap.end.handle, gap.end.layer, operation="opening", sure=False,
                           is_gap=True) for gap in gaps]  # fmt: skip
        hung = self._hung(opened, pieces, roles, walls, unit_m)
        gaps = [gap for gap in gaps if all(gap.middle != door.middle for door in hung)]
        if not gaps:
            return hung
        where = "; ".join(f"{gap.middle[0]:.0f}, {gap.middle[1]:.0f}" for gap in gaps[:8]) + (
            "; ..." if len(gaps) > 8 else ""
        )
        if any(door.operation == "swing" for door in (*doors, *hung)):
            marked = marks_beside([gap.middle for gap in gaps], [*doors, *hung], pieces, roles, unit_m)
            if marked:
                said = "; ".join(f"{mark} at {x:.0f}, {y:.0f}" for mark, (x, y) in marked[:8]) + (
                    "; ..." if len(marked) > 8 else ""
                )
                self.note("question", f"{len(marked)} gaps in walls have a door's mark beside them and no swing, as sliding doors have: "
                          f"not taken ({said})", remedy="add those that are doors to openings.csv")  # fmt: skip
            self.note("left", f"{len(gaps)} gaps in walls are as wide as doors, but no door is drawn in them: not taken (at {where})",
                      remedy="add those that are doors to openings.csv")  # fmt: skip
            return hung
        self.note("question", f"the plan draws no swing of a door; {len(gaps)} gaps in walls are as wide as doors and taken for doors "
                  f"(at {where})", remedy="confirm each, state its width and hand, or ask for a drawing that shows the doors")  # fmt: skip
        return opened

    def _hung(
        self, gaps: Sequence[PlanDoor], pieces: Pieces, roles: Mapping[str, str], walls: WallsFound, unit_m: float
    ) -> list[PlanDoor]:
        """Gaps in which a leaf is drawn as a line, without an arc."""
        usual = "doors" if "doors" in roles.values() else ""
        lines = [s for s in pieces.segments if roles.get(s.layer) == usual and s.layer not in walls.guessed]
        found = list(hung_in(gaps, lines, unit_m))
        if found:
            self.note("inferred", f"{len(found)} doors are drawn as a leaf without an arc: hinge and swing are those of the line that "
                      "hangs in a gap of the wall, the width is the gap's")  # fmt: skip
        return found

    def _door(self, door: PlanDoor, tag: Tagged, unit_m: float) -> DoorFact:
        place = f"layer {door.layer}, handle {door.handle}" + (f", block {door.insert.name}" if door.insert else "")
        told = "a gap in the wall, in which no leaf is drawn" if door.is_gap else "the drawing of the door"
        inferred = {"at_m": told, "width_m": told}
        width_m, height_m, remarks = door.width * unit_m, door.height_m, list(tag.words)
        if door.is_gap:
            remarks.append("only a gap in the wall is drawn")
        stated = door.stated_m or ((tag.size_m[0], "the text at it") if tag.size_m else None)
        if stated is not None:
            written_m = min((stated[0], stated[0] * door.leaves), key=lambda w: abs(w - width_m))
            if abs(written_m - width_m) <= _WRITTEN_APART * width_m or door.operation != "swing":
                width_m, inferred["width_m"] = written_m, stated[1]
            else:
                said = f"{stated[1]} says {stated[0]:.3f} m, it is drawn {width_m:.3f} m wide, which is taken"
                self.note("question", f"door {tag.mark}: {said}",
                          place, "state its width in openings.csv")  # fmt: skip
        if height_m is None and tag.size_m is not None:
            height_m, inferred["height_m"] = tag.size_m[1], "the text at it"
        if door.unequal:
            said = " + ".join(f"{wide * unit_m:.2f}" for wide in sorted(door.unequal, reverse=True))
            remarks.append(f"leaves: {said} m")
            asks = "its leaves are unequal, and openings.csv takes them as alike"
            remedy = "state clear_width_m of the leaf that people use in openings.csv"
            self.notes.append(DocumentNote("question", At(self.path.name, place), f"{said} m", remedy, asks, tag.mark))
        if tag.why:
            inferred["mark"] = tag.why
        if not door.sure and door.operation == "swing":
            inferred["at_m"] = "the swing alone: no leaf and no wall tells which end of the arc is the closed one"
        return DoorFact(
            At(self.path.name, place), door.handle, tag.mark, "", (door.middle[0] * unit_m, door.middle[1] * unit_m),
            math.degrees(door.along) % 180, width_m, height_m, None if door.is_gap else door.leaves,
            "" if door.is_gap else door.operation,
            None if door.hinge is None else (door.hinge[0] * unit_m, door.hinge[1] * unit_m),
            None if door.into is None else math.degrees(door.into) % 360, remarks=tuple(remarks), inferred=inferred,
        )  # fmt: skip

    def _walls(self, pieces: Pieces, roles: Mapping[str, str], unit_m: float) -> WallsFound:
        walls = walls_of(pieces, roles, unit_m, self.path.name)
        if walls.guessed:
            names = ", ".join(walls.guessed)
            self.note("inferred", f"no layer is named after walls: lines that run beside each other, 60 to 550 mm apart, are taken for "
                      f"walls, on layers {names}", remedy="say under layers on which layer the walls are")  # fmt: skip
        elif not walls.facts:
            self.note("left", "no wall was found: no layer is named after walls, and no lines run beside each other as their faces do",
                      remedy="say under layers on which layer the walls are")  # fmt: skip
        if walls.mixed:
            names, first = ", ".join(walls.mixed), walls.mixed[0]
            self.note("question", f"walls stand on layers with other lines ({names}): some may be missing, and some that were taken may be "
                      "none; look at the walls on the plan", remedy="ask for the plan with its layers, or state layers "
                      f'{{ "{first}" = "walls" }} to take every line of it, "ignore" to take none')  # fmt: skip
        if walls.is_too_many:
            self.note(
                "left",
                f"{walls.without_body} lines of walls are too many to find their bodies: walls.csv has no row of them",
            )
        elif walls.without_body:
            self.note(
                "left",
                f"{walls.without_body} lines of walls enclose nothing and run beside no other line: no row of walls.csv",
            )
        return walls

    def _titles(self, pieces: Pieces) -> list[LevelFact]:
        """The level that the title of the plan names, where one alone does."""
        if self.settings.level or self.settings.regions or level_named(self.path.stem):
            return []
        if titled := level_of_title_block(self.doc):
            return [LevelFact(At(self.path.name, "its title block"), titled, titled, self.settings.elevation_m)]
        named = levels_of_titles(pieces.words)
        if len(named) > 1:
            names = ", ".join(named)
            self.note("question", f"its titles name {len(named)} levels ({names}): everything is put on one level, as it is drawn",
                      remedy="send a drawing of each level, or state under regions where each is drawn; "
                      "state the level if the others are only spoken of")  # fmt: skip
        if len(named) != 1:
            return []
        return [LevelFact(At(self.path.name, "its title"), named[0], named[0], self.settings.elevation_m)]
