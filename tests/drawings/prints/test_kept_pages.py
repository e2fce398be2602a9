"""Pages of a print taken over from an earlier build: the bytes are those of a print that reads every sheet."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from riserkit.design import Design
from riserkit.drawings.prints import render
from riserkit.drawings.prints.kept_pages import KeptPages
from riserkit.drawings.prints.page_text import packed, unpacked
from riserkit.drawings.prints.pdf import PdfPage, page_at
from riserkit.drawings.prints.pdf_file import PageInPdf, printed
from riserkit.drawings.prints.render import render_pdf
from riserkit.drawings.set import write as set_write
from riserkit.drawings.set.plan import SetOptions
from riserkit.kept import KeptEntry, KeptWork

SHEETS = Path(__file__).parents[3] / "sample_drawings" / "first-look" / "drawings"
NAMES = ("T-601", "T-651")
"""Small sheets."""


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Names of the sheets that are read off their drawings."""
    found: list[str] = []

    def noted(path: Path) -> PdfPage:
        found.append(path.stem)
        return page_at(path)

    monkeypatch.setattr(render, "page_at", noted)
    return found


@pytest.mark.parametrize("name", ["T-101", "T-501-2-2"])
def test_a_page_comes_out_of_its_text_as_it_was(name: str) -> None:
    made: list[PageInPdf] = []
    printed([page_at(SHEETS / f"{name}.dxf")], io.BytesIO(), keep=lambda _, page: made.append(page))
    [page] = made
    assert page.content and page.letters and page.codes
    assert unpacked(packed(page)) == page


def _copies(folder: Path) -> list[Path]:
    folder.mkdir()
    for name in NAMES:
        (folder / f"{name}.dxf").write_bytes((SHEETS / f"{name}.dxf").read_bytes())
    return [folder / f"{name}.dxf" for name in NAMES]


def _print(paths: list[Path], folder: Path, earlier: KeptWork | None) -> tuple[bytes, KeptWork]:
    kept = KeptWork(earlier.entries if earlier else None)
    render_pdf(paths, folder / "overview.pdf", title="Archive annex", workers=1, kept=KeptPages(kept))
    return (folder / "overview.pdf").read_bytes(), kept


@pytest.mark.parametrize(("first", "renumbered"), [("T-101.dxf", []), ("T-001.dxf", ["T-651"])])
def test_only_sheets_that_changed_are_read_and_the_print_is_the_same(
    tmp_path: Path, read: list[str], first: str, renumbered: list[str]
) -> None:
    """`renumbered`: sheets whose letters have other codes after those of the sheet that has come before them."""
    paths = _copies(tmp_path / "drawings")
    _, kept = _print(paths, tmp_path, None)
    assert read == list(NAMES)
    # another sheet in the place of the first
    paths[0].write_bytes((SHEETS / first).read_bytes())
    read.clear()
    changed, kept = _print(paths, tmp_path, kept)
    assert read == ["T-601", *renumbered]
    render_pdf(paths, tmp_path / "whole.pdf", title="Archive annex", workers=1)
    assert changed == (tmp_path / "whole.pdf").read_bytes()
    read.clear()
    # a build that prints nothing hands the pages on
    handed = KeptWork(kept.entries)
    KeptPages(handed).take_over(paths)
    assert _print(paths, tmp_path, handed)[0] == changed
    assert read == []


def test_pages_of_an_overview_are_kept_also_where_nothing_is_printed(
    tmp_path: Path, read: list[str], site_of: Callable[..., Design]
) -> None:
    paths, asked = _copies(tmp_path / "drawings"), SetOptions(overview=True, workers=1)
    earlier: dict[str, KeptEntry] = {}
    for is_there, told in ((False, list(NAMES)), (True, []), (False, [])):
        read.clear()
        made = replace(site_of({}), kept=KeptWork(earlier))
        set_write._print(paths, tmp_path / "overview.pdf", made, asked, is_there, lambda _: None)
        assert read == told
        earlier = dict(made.kept.entries)
        assert len([one for one in earlier.values() if one["what"] == "page printed"]) == len(NAMES)


def test_pages_of_a_whole_set_are_not_kept(tmp_path: Path, site_of: Callable[..., Design]) -> None:
    """A thousand doors have two thousand sheets."""
    paths, made = _copies(tmp_path / "drawings"), replace(site_of({}), kept=KeptWork())
    set_write._print(paths, tmp_path / "set.pdf", made, SetOptions(pdf=True, workers=1), False, lambda _: None)
    assert not any(one["what"] == "page printed" for one in made.kept.entries.values())
