"""A site's own blocks that are none: told when the site is checked, not when it is drawn."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from riserkit.drawings.dxf.blocks import block_folder
from riserkit.model.problems import InputError
from riserkit.pipeline import check_site
from riserkit.starter.tables import write_starter


@pytest.fixture
def site(tmp_path: Path) -> Path:
    write_starter(tmp_path / "site")
    return tmp_path / "site"


BAD_BLOCKS: dict[str, tuple[Callable[[Path], object], str]] = {
    "junk": (lambda path: path.write_text("junk", "utf-8"), "expected a block: "),
    "a folder": (Path.mkdir, "expected a block: "),
    "a pipe": (os.mkfifo, "expected a block: "),
    "a link out": (lambda path: path.symlink_to("/dev/zero"), "expected a file in the site's folder"),
}  # fmt: skip


@pytest.mark.parametrize("case", BAD_BLOCKS)
def test_a_site_s_own_block_that_is_none_is_told_when_the_site_is_checked(site, case):
    make, wanted = BAD_BLOCKS[case]
    (site / "blocks").mkdir()
    make(site / "blocks" / "battery.dxf")
    with pytest.raises(InputError) as told:
        check_site(site)
    assert [(str(p.where), p.accepted[: len(wanted)]) for p in told.value.problems] == [("blocks/battery.dxf", wanted)]


def test_a_block_of_a_name_that_is_never_drawn_is_questioned(site):
    (site / "blocks").mkdir()
    shutil.copy(block_folder() / "battery.dxf", site / "blocks" / "batery.dxf")
    with pytest.raises(InputError, match="did you mean battery"):
        check_site(site)
    (site / "blocks" / "batery.dxf").rename(site / "blocks" / "battery.dxf")
    assert check_site(site)
