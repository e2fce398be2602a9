"""All files of a site's page."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from importlib.resources import files
from pathlib import Path

from riserkit.page.door import door_page
from riserkit.page.render import door_html
from riserkit.page.work import PageWork

Progress = Callable[[str, int, int], None]


def write_page(work: PageWork, folder: Path, progress: Progress) -> int:
    """Write the page of a site into a new folder.

    Args:
        work: the site.
        folder: is there, and empty.
        progress: told of every door.

    Returns:
        How many doors have a page.
    """
    write_assets(folder)
    (folder / "doors").mkdir()
    doors = work.design.doors
    for n, door in enumerate(doors, 1):
        (folder / "doors" / f"{door.mark}.html").write_text(door_html(door_page(work, door), work.frame), "utf-8")
        progress("pages", n, len(doors))
    return len(doors)


def write_assets(folder: Path) -> None:
    """Style, scripts and font, the same in every page folder."""
    place = folder / "assets"
    place.mkdir()
    for name, content in _assets():
        (place / name).write_bytes(content)


def _assets() -> Iterator[tuple[str, bytes]]:
    for asset in sorted(files("riserkit.page").joinpath("assets").iterdir(), key=lambda one: one.name):
        yield asset.name, asset.read_bytes()
