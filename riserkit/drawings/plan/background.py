"""The architect's own drawing behind a plan, as a level names it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from shapely.affinity import translate

from riserkit.drawings.dxf.background import BackgroundPlace, add_background, heavy_lines
from riserkit.drawings.dxf.canvas import Canvas
from riserkit.drawings.dxf.errors import SheetError
from riserkit.drawings.plan.values import PlanLevel
from riserkit.model.place import Level
from riserkit.model.raw import is_outside


def background_of(level: Level) -> BackgroundPlace | None:
    """Where a level's background lies; None where it names none."""
    if not level.background:
        return None
    unit_m, origin_m, turn_deg = level.background_placing
    return BackgroundPlace(level.background, unit_m, origin_m, turn_deg, level.background_as)


def with_heavy_lines(level: PlanLevel, folder: Path | None) -> PlanLevel:
    """The level with the walls of its background, where its own tables state none; what cannot be had is told where it is drawn."""
    place = level.background
    if place is None or folder is None or level.walls is not None or is_outside(folder / place.file, folder):
        return level
    try:
        lines = heavy_lines(folder / place.file, place)
    except SheetError:
        return level
    x, y = level.offset_m
    return level if lines is None else replace(level, heavy=translate(lines, -x, -y))


def draw_drawing_behind(canvas: Canvas, level: PlanLevel, folder: Path | None) -> None:
    """Put the level's background into the model, before anything of ours.

    Raises:
        SheetError: there is no such file in the site's folder, or it cannot be read.
    """
    place = level.background
    if place is None or folder is None:
        return
    path = folder / place.file
    if is_outside(path, folder):
        raise SheetError(f"background {place.file}: expected a file of the site's folder; this lies outside")
    with canvas.subject(f"background:{level.id}"):
        add_background(canvas, path, place, level.offset_m)


def background_words(place: BackgroundPlace) -> str:
    """What the legend says of a background."""
    x, y = place.origin_m
    held = "copied" if place.held_as == "copy" else "by reference, not on prints"
    at = ", ".join(f"{v:.3f}".rstrip("0").rstrip(".") for v in (x, y))
    return f"Background {place.file}, {held}: 1 unit {place.unit_m:.6g} m, origin {at} m, turned {place.turn_deg:.6g}°"
