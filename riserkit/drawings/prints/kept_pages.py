"""Pages of a print kept between builds, as text: of a sheet that is as before, what it prints is not read off its drawing again."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256
from pathlib import Path
from typing import Final

from riserkit.kept import KeptWork

_WHAT: Final = "page printed"


class KeptPages:
    """What sheets print, by the names of their files and what these hold."""

    def __init__(self, kept: KeptWork) -> None:
        self._kept = kept

    def found(self, path: Path) -> str | None:
        """The page as text; None where it is not known."""
        return self._kept.found(_WHAT, _values(path), str)

    def keep(self, path: Path, text: str) -> None:
        """Keep a page for the next build."""
        self._kept.keep(_WHAT, _values(path), text, str, str)

    def take_over(self, paths: Iterable[Path]) -> None:
        """Keep the pages of these sheets for the next build, though this one prints none of them."""
        for path in paths:
            self.found(path)


def _values(path: Path) -> tuple[str, str]:
    return path.name, sha256(path.read_bytes()).hexdigest()
