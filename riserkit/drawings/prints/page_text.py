"""A page as it stands in a PDF, as text to be kept."""

from __future__ import annotations

import json
from base64 import b85decode, b85encode

from riserkit.drawings.prints.pdf_file import PageInPdf


def packed(page: PageInPdf) -> str:
    """A page as text."""
    codes = [(subset, run.hex()) for subset, run in page.codes]
    return json.dumps(page._replace(codes=codes, content=b85encode(page.content).decode()))  # type: ignore[arg-type]


def unpacked(text: str) -> PageInPdf:
    """The page of a text."""
    page = PageInPdf(*json.loads(text))
    codes = tuple([(subset, bytes.fromhex(run)) for subset, run in page.codes])  # type: ignore[arg-type]
    return page._replace(codes=codes, content=b85decode(page.content))
