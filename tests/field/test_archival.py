"""Every PDF is one for archives: PDF/A-2b, as far as `archives` looks."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image, ImageCms
from pypdf import PdfReader, PdfWriter
from pypdf.generic import NameObject
from reportlab.pdfgen.canvas import Canvas

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.prints.archival import srgb_profile
from riserkit.drawings.prints.pdf import PdfPage, Words
from riserkit.drawings.prints.pdf_file import pdf_bytes
from riserkit.drawings.prints.pen import PagePen
from tests.field.archives import faults


@pytest.mark.slow
def test_papers_are_fit_for_archives(papers: Path) -> None:
    found = {
        name: list(faults((papers / "field" / name).read_bytes()))
        for name in ("door-2.pdf", "labels.pdf", "telephone/reel_plan.pdf")
    }
    assert not any(found.values()), found


def test_letters_of_many_kinds_and_photographs_are_fit_too() -> None:
    pen = PagePen("page", 200, 200)
    pen.text("Tür 1 – Ω ≤ 5 µA, naïve", (10, 100), 5)
    stream = io.BytesIO()
    Image.new("RGB", (40, 30), (9, 99, 200)).save(stream, "JPEG")
    pen.photo(stream.getvalue(), Rect(10, 10, 50, 40))
    made = pdf_bytes([pen.page()], title='Ümlaut <1> & "two"')
    assert list(faults(made)) == []
    assert made == pdf_bytes([pen.page()], title='Ümlaut <1> & "two"')
    assert PdfReader(io.BytesIO(made)).pages[0].extract_text().startswith("Tür 1 – Ω ≤ 5 µA")


def test_a_letter_that_the_font_lacks_takes_the_claim_away() -> None:
    """It is drawn as an outline; the text beneath, which can be searched for, names a glyph that is not there."""
    page = PdfPage("page", 50, 50, (Words("\u9580", 12.0, "#000000", False, (1.0, 0.0, 0.0, 1.0, 9.0, 9.0)),))
    assert {fault.partition(":")[0] for fault in faults(pdf_bytes([page], title="A"))} >= {"6.6.4"}


def test_the_check_finds_what_is_wrong() -> None:
    """A plain file of the library, and ours without what each clause asks for."""
    stream = io.BytesIO()
    plain = Canvas(stream)
    plain.drawString(72, 72, "Door")
    plain.save()
    assert {fault.partition(":")[0] for fault in faults(stream.getvalue())} >= {"6.6.2.1", "6.2.3"}
    assert any("6.2.11.4" in fault for fault in faults(stream.getvalue()))
    pen = PagePen("page", 50, 50)
    pen.text("A", (10, 10), 5)
    ours = pdf_bytes([pen.page()], title="A")
    for key, clause in (("/Metadata", "6.6.2.1"), ("/OutputIntents", "6.2.3")):
        writer = PdfWriter(clone_from=io.BytesIO(ours))
        del writer._root_object[NameObject(key)]
        out = io.BytesIO()
        writer.write(out)
        assert any(fault.startswith(clause) for fault in faults(out.getvalue())), key


def test_the_profile_is_that_of_the_standard() -> None:
    """Against the one that the colour library makes of itself: no value is off by more than one step."""
    colours = Image.new("RGB", (64, 64))
    colours.putdata([((n * 7) % 256, (n * 13) % 256, (n * 29) % 256) for n in range(64 * 64)])
    ours = ImageCms.ImageCmsProfile(io.BytesIO(srgb_profile()))
    turned = ImageCms.profileToProfile(colours, ours, ImageCms.createProfile("sRGB"))
    assert turned is not None
    assert max(abs(a - b) for a, b in zip(colours.tobytes(), turned.tobytes(), strict=True)) <= 1
