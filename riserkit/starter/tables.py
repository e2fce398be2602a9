"""A small site to start from: two doors, one closet, with comments that say what stands in each column."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from riserkit.results.new_folder import write_new_folder


def write_starter(folder: Path) -> tuple[str, ...]:
    """Write the starting site as a folder of tables; the names of its files, sorted.

    Raises:
        FolderError: the folder is not empty, or cannot be written. Then nothing is written.
    """
    texts = starter_texts()
    write_new_folder(folder, texts)
    return tuple(sorted(texts))


def starter_texts() -> dict[str, str]:
    """The starting site's tables by file name."""
    shipped = files("riserkit.starter") / "site"
    return {entry.name: entry.read_text("utf-8") for entry in shipped.iterdir() if entry.name.endswith(".csv")}
