"""Photographs that a crew brings back: looked for, kept, shown, and missed where they never came.

Pictures are made by Pillow, the PDF is read by pypdf.
"""

from __future__ import annotations

import csv
import hashlib
import io
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader

from riserkit.design import Design
from riserkit.drawings.door.built import built_notes
from riserkit.field.about import FieldWork
from riserkit.field.form import A4
from riserkit.field.photographs import photographs_paper
from riserkit.model.problems import InputError
from riserkit.pipeline import design_site, read_to_work
from riserkit.record.photos import photos_folder
from riserkit.record.returns import read_returns
from riserkit.reports.returned import return_lines, returned_tables
from riserkit.results.field import paper_pdf
from riserkit.results.return_site import ReturnOptions, return_site
from riserkit.rules.not_returned import NotReturned

HEAD = "opening,photo,shows,by,date\n"
ROW = "2,door-2.jpg,junction box open,A. Lee,2026-03-20\n"
TURNED = 6
"""Value of the tag 0x0112, orientation: the camera was held upright (Exif 2.3, 4.6.4)."""


def picture(path: Path, size: tuple[int, int] = (400, 300), *, orientation: int = 1, kind: str = "JPEG") -> Path:
    image = Image.new("RGB", size, (200, 60, 20))
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "camera of A. Lee"
    path.parent.mkdir(exist_ok=True, parents=True)
    image.save(path, kind, exif=exif)
    return path


def table(folder: Path, *rows: str) -> Path:
    folder.mkdir(exist_ok=True)
    path = folder / "photos.csv"
    path.write_text(HEAD + "".join(rows), "utf-8")
    return path


def as_built(site: Path) -> Design:
    return design_site(read_to_work(site, as_built=True)[0])


@pytest.mark.parametrize("place", ["crew", "crew/photos", "elsewhere"])
def test_a_photograph_is_looked_for_and_kept(site: Path, tmp_path: Path, place: str) -> None:
    sent = picture(tmp_path / place / "door-2.jpg")
    options = ReturnOptions(photos=(tmp_path / "elsewhere",) if place == "elsewhere" else ())
    taken = return_site(site, [table(tmp_path / "crew", ROW)], options)
    assert taken.no_photos == ()
    assert (photos_folder(site) / "door-2.jpg").read_bytes() == sent.read_bytes()
    (row,) = read_returns(site)[0].rows["photos"]
    assert (row.photo, row.file) == ("door-2.jpg", "photos.csv")  # type: ignore[attr-defined]
    photos = next(t for t in returned_tables(as_built(site)) if t.name == "photographs")
    (listed,) = [dict(zip(photos.columns, cells, strict=True)) for cells in photos.rows]
    assert (listed["photo"], listed["status"], listed["width_px"], listed["height_px"]) == (
        "door-2.jpg",
        "kept",
        400,
        300,
    )
    assert listed["sha256"] == hashlib.sha256(sent.read_bytes()).hexdigest()


def test_one_that_never_came_is_told_and_is_no_pass(site: Path, tmp_path: Path) -> None:
    taken = return_site(site, [table(tmp_path / "crew", ROW)])
    assert taken.no_photos == ("door-2.jpg",)
    assert any("photographs not found: door-2.jpg" in line for line in return_lines(taken))
    missing = as_built(site)
    said = {f.about: f.message for f in NotReturned().evaluate(missing) if f.subject == "2"}
    assert "door-2.jpg" in said["photographs"]
    assert _of_photographs(missing) == ["Photographs that were named and never came: door-2.jpg (junction box open)."]
    # It comes later, with the same table.
    picture(tmp_path / "crew" / "door-2.jpg")
    again = return_site(site, [tmp_path / "crew" / "photos.csv"])
    assert (again.record, again.no_photos) == (None, ())
    came = as_built(site)
    assert "photographs" not in {f.about for f in NotReturned().evaluate(came) if f.subject == "2"}
    assert _of_photographs(came) == ["Photographs: door-2.jpg (junction box open)."]


def _of_photographs(made: Design) -> list[str]:
    """What the sheet of door 2 says of its photographs."""
    return [note for note in built_notes(made, made.door["2"]) if note.startswith("Photographs")]


@pytest.mark.parametrize(("content", "wanted"), [(b"", "has 0 bytes"), (b"MZ\x90 a program", "this file is none")])
def test_what_is_no_photograph_is_refused(site: Path, tmp_path: Path, content: bytes, wanted: str) -> None:
    path = table(tmp_path / "crew", ROW)
    (tmp_path / "crew" / "door-2.jpg").write_bytes(content)
    with pytest.raises(InputError, match=f"photos.csv, B2.*{wanted}"):
        return_site(site, [path])
    assert not read_returns(site)


def test_links_and_paths_lead_nowhere(site: Path, tmp_path: Path) -> None:
    picture(tmp_path / "secret.jpg")
    path = table(tmp_path / "crew", ROW)
    (tmp_path / "crew" / "door-2.jpg").symlink_to(tmp_path / "secret.jpg")
    assert return_site(site, [path]).no_photos == ("door-2.jpg",)
    with pytest.raises(InputError, match="B2"):
        return_site(site, [table(tmp_path / "crew", "2,../secret.jpg,x,A. Lee,2026-03-20\n")])


def test_another_of_the_same_name_takes_no_place(site: Path, tmp_path: Path) -> None:
    picture(tmp_path / "one" / "door-2.jpg")
    return_site(site, [table(tmp_path / "one", ROW)])
    picture(tmp_path / "two" / "door-2.jpg", (100, 100))
    with pytest.raises(InputError, match="another photograph of this name"):
        return_site(site, [table(tmp_path / "two", ROW.replace("2,door", "1,door", 1))])


def test_the_paper_shows_them_upright_and_without_what_the_camera_wrote(site: Path, tmp_path: Path) -> None:
    picture(tmp_path / "crew" / "door-2.jpg", orientation=TURNED)
    rows = (ROW, "1,gone.jpg,strike,A. Lee,2026-03-20\n", "1,broken.png,strike,A. Lee,2026-03-20\n")
    whole = picture(tmp_path / "crew" / "broken.png", kind="PNG")
    whole.write_bytes(whole.read_bytes()[:60])
    return_site(site, [table(tmp_path / "crew", *rows)])
    made = as_built(site)
    paper = photographs_paper(FieldWork(made, (), {}), photos_folder(site))
    assert paper is not None
    pdf = paper_pdf(paper, A4)
    assert pdf == paper_pdf(paper, A4)
    (page,) = PdfReader(io.BytesIO(pdf)).pages
    text = " ".join(page.extract_text().split())
    assert "gone.jpg: strike (A. Lee, 2026-03-20). Not found." in text
    assert "broken.png: strike (A. Lee, 2026-03-20). Kept, in a format that is not shown here." in text
    assert text.index("Door 1") < text.index("Door 2") < text.index("door-2.jpg: junction box open")
    (image,) = page.images
    shown = Image.open(io.BytesIO(image.data))
    assert shown.size == (300, 400)
    assert b"camera of A. Lee" not in image.data
    assert photographs_paper(FieldWork(design_site(read_to_work(site)[0]), (), {}), photos_folder(site)) is None


def test_words_stay_with_their_photograph(site: Path, tmp_path: Path) -> None:
    names = [f"p{n}.jpg" for n in range(4)]
    for n, name in enumerate(names):
        picture(tmp_path / "crew" / name, (300, 400 + n))
    return_site(site, [table(tmp_path / "crew", *(f"2,{name},view,A. Lee,2026-03-20\n" for name in names))])
    paper = photographs_paper(FieldWork(as_built(site), (), {}), photos_folder(site))
    assert paper is not None
    assert paper.approved_by == ""
    pages = PdfReader(io.BytesIO(paper_pdf(paper, A4))).pages
    assert len(pages) == 2
    for page in pages:
        assert page.extract_text().count("view (A. Lee") == len(page.images) == 2


def test_tables_that_call_the_column_file_are_read(site: Path, tmp_path: Path) -> None:
    path = tmp_path / "photos.csv"
    with path.open("w", newline="", encoding="utf-8") as stream:
        csv.writer(stream).writerows(
            [["opening", "file", "shows", "by", "date"], ["2", "a.jpg", "", "A. Lee", "2026-03-20"]]
        )
    assert return_site(site, [path]).no_photos == ("a.jpg",)
