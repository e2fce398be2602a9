"""The small sample, worked out once, and copies of it that may be written to."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from riserkit.design import Design
from riserkit.pipeline import design_site
from riserkit.plugin.read import read_site

SITE = Path(__file__).parents[2] / "sample_drawings" / "first-look" / "site"


@pytest.fixture(scope="session")
def designed() -> Design:
    """The small sample as designed."""
    return design_site(read_site(SITE))


@pytest.fixture
def site(tmp_path: Path) -> Path:
    """A copy of the small sample."""
    return Path(shutil.copytree(SITE, tmp_path / "site"))


@pytest.fixture
def tables_of() -> Callable[[Path], dict[str, bytes]]:
    """What stands in a site's own tables."""
    return lambda folder: {path.name: path.read_bytes() for path in folder.glob("*.csv")}
