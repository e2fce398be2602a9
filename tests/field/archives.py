"""What ISO 19005-2 level B asks of a file, looked for by other libraries than write it: pypdf, fontTools and Pillow.

Clauses are named from memory, after the edition of 2011. It is no certified validator, and checks what files like ours can get wrong.
"""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from typing import Any

from fontTools.ttLib import TTFont
from PIL import ImageCms
from pypdf import PdfReader
from pypdf.generic import ArrayObject, ContentStream, DictionaryObject

_RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
_PDFAID = "{http://www.aiim.org/pdfa/ns/id/}"
_DC = "{http://purl.org/dc/elements/1.1/}"
_FORBIDDEN_FILTERS = {"/LZWDecode", "/Crypt", "/JPXDecode"}
_FORBIDDEN_KEYS = {
    "/AA",
    "/OpenAction",
    "/JavaScript",
    "/EmbeddedFiles",
    "/XFA",
    "/Encrypt",
    "/Alternates",
    "/OPI",
    "/PS",
    "/Launch",
}


def faults(pdf: bytes) -> Iterator[str]:
    """Every fault found, with its clause."""
    reader = PdfReader(io.BytesIO(pdf))
    yield from _file(pdf, reader)
    yield from _metadata(reader)
    yield from _colours(reader)
    yield from _objects(reader)
    for number, page in enumerate(reader.pages, 1):
        yield from (f"page {number}: {fault}" for fault in _page(page, reader))


def _file(pdf: bytes, reader: PdfReader) -> Iterator[str]:
    if not re.match(rb"%PDF-1\.[0-7]\r?\n%[\x80-\xff]{4}", pdf):
        yield "6.1.2: header, and a comment of four bytes above 127"
    if "/ID" not in reader.trailer:
        yield "6.1.3: the trailer has no ID"
    if "/Encrypt" in reader.trailer:
        yield "6.1.3: encrypted"
    if not pdf.rstrip(b"\r\n").endswith(b"%%EOF"):
        yield "6.1.3: something follows the end of the file"


def _metadata(reader: PdfReader) -> Iterator[str]:
    root = reader.trailer["/Root"]
    stream = root.get("/Metadata")
    if stream is None:
        yield "6.6.2.1: no metadata"
        return
    if "/Filter" in stream.get_object():
        yield "6.6.2.1: metadata are compressed"
    tree = ET.fromstring(re.sub(rb"<\?xpacket[^>]*\?>", b"", stream.get_object().get_data()))
    said = {child.tag: child for description in tree.iter(f"{_RDF}Description") for child in description}
    claim = [(said[_PDFAID + name].text if _PDFAID + name in said else None) for name in ("part", "conformance")]
    if claim != ["2", "B"]:
        yield f"6.6.4: part and conformance are {claim}"
    title = [li.text or "" for li in said[f"{_DC}title"].iter(f"{_RDF}li")] if f"{_DC}title" in said else []
    if title != [(reader.metadata or {}).get("/Title")]:
        yield f"6.6.2: title {title} and that of the Info differ"


def _colours(reader: PdfReader) -> Iterator[str]:
    intents = reader.trailer["/Root"].get("/OutputIntents")
    found = [i.get_object() for i in intents.get_object()] if intents is not None else []
    found = [intent for intent in found if intent.get("/S") == "/GTS_PDFA1"]
    if len(found) != 1:
        yield "6.2.3: expected one output intent"
        return
    profile = found[0]["/DestOutputProfile"].get_object()
    opened = ImageCms.ImageCmsProfile(io.BytesIO(profile.get_data())).profile
    if (profile["/N"], opened.xcolor_space.strip()) != (3, "RGB"):
        yield "6.2.3: the profile is not of RGB, which pages are drawn in"


def _objects(reader: PdfReader) -> Iterator[str]:
    for number in range(1, len(reader.xref[0]) + 1 if 0 in reader.xref else 1):
        found = reader.get_object(number)
        if isinstance(found, DictionaryObject):
            yield from (f"6.5, 6.6: object {number} has {key}" for key in _FORBIDDEN_KEYS & found.keys())
            filters = found.get("/Filter", ())
            for name in filters if isinstance(filters, ArrayObject) else (filters,):
                if name in _FORBIDDEN_FILTERS:
                    yield f"6.1.7: object {number} is coded by {name}"
            if found.get("/Interpolate") == True or found.get("/SMask") not in (None, "/None"):  # noqa: E712 - a PDF boolean
                yield f"6.2.8, 6.2.10: object {number}"


def _page(page: Any, reader: PdfReader) -> Iterator[str]:
    fonts = {name: font.get_object() for name, font in page["/Resources"].get("/Font", DictionaryObject()).items()}
    cmaps = {}
    for name, font in fonts.items():
        descriptor = font.get("/FontDescriptor")
        if descriptor is None or "/FontFile2" not in descriptor.get_object():
            yield f"6.2.11.4: font {font.get('/BaseFont')} is not embedded"
            continue
        inside = TTFont(io.BytesIO(descriptor.get_object()["/FontFile2"].get_object().get_data()), lazy=True)
        if len(inside["cmap"].tables) != 1 and descriptor.get_object()["/Flags"] & 4:
            yield f"6.2.11.6: symbolic font {name} has {len(inside['cmap'].tables)} tables of codes"
        cmaps[name] = inside["cmap"].tables[0].cmap
        yield from _widths(name, font, inside)
    now = ""
    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        if operator == b"Tf":
            now = operands[0]
            if now not in fonts:
                yield f"6.2.2: font {now} is not in the resources"
        elif operator == b"Tj" and now in cmaps:
            codes = operands[0].original_bytes
            missing = [code for code in codes if cmaps[now].get(code, ".notdef") == ".notdef"]
            if missing:
                yield f"6.2.11.8: codes {missing} of {now} show no glyph"
        elif operator in (b"k", b"K", b"cs", b"CS", b"sh", b"ri", b"BI"):
            yield f"6.2.4: operator {operator.decode()} that our pages have no colours for"
    for annotation in page.get("/Annots", ()):
        yield f"6.3: annotation {annotation.get_object().get('/Subtype')}"


def _widths(name: str, font: Any, inside: TTFont) -> Iterator[str]:
    units, first, cmap = inside["head"].unitsPerEm, font["/FirstChar"], inside["cmap"].tables[0].cmap
    for code, glyph in cmap.items():
        place = code - first
        if glyph != ".notdef" and 0 <= place < len(font["/Widths"]):
            true = inside["hmtx"][glyph][0] * 1000 / units
            if abs(true - float(font["/Widths"][place])) > 1:
                yield f"6.2.11.5: width of code {code} of {name}"
