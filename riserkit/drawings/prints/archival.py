"""What makes a PDF one for archives, after ISO 19005-2 level B: it says so in its metadata, and what its colours mean is in it.

Fonts are embedded as they are drawn with; nothing is encrypted, executed or fetched. The clauses are from memory and held by tests;
no certified validator has been run.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from functools import cache
from typing import Final
from xml.sax.saxutils import escape

from reportlab.pdfbase.pdfdoc import PDFArray, PDFCatalog, PDFDictionary, PDFName, PDFStream, PDFString, PDFZCompress
from reportlab.pdfgen.canvas import Canvas as PdfCanvas

CREATOR: Final = "riserkit"
_DATE: Final = "2000-01-01T00:00:00+00:00"
"""Of every file, as in its Info: no clock."""
_CLAIM: Final = "<pdfaid:part>2</pdfaid:part><pdfaid:conformance>B</pdfaid:conformance>"
_COLOURS: Final = "sRGB IEC61966-2.1"
_CURVE_POINTS: Final = 1024
# Primaries and white of IEC 61966-2-1, adapted to the D50 of profiles (Bradford), as X, Y, Z.
_WHITE_D50: Final = (0.9642, 1.0, 0.8249)
_RED, _GREEN, _BLUE = (
    (0.4360747, 0.2225045, 0.0139322),
    (0.3850649, 0.7168786, 0.0971045),
    (0.1430804, 0.0606169, 0.7141733),
)


class _Catalog(PDFCatalog):  # type: ignore[misc]
    __NoDefault__ = (*PDFCatalog.__NoDefault__, "OutputIntents")
    __Refs__ = __NoDefault__


def make_archival(pdf: PdfCanvas, title: str, *, claims: bool) -> None:
    """Add to a PDF that is being written what an archive asks for.

    Args:
        pdf: before it is saved; its fonts are all embedded.
        title: as its Info has it.
        claims: it may say so: a letter that the font lacks, drawn as an outline over a text that cannot be seen, is no part of it.
    """
    doc = pdf._doc
    info = doc.info
    info.author, info.subject, info.creator = CREATOR, title, CREATOR
    profile = PDFStream(
        PDFDictionary({"N": 3, "Filter": PDFArray([PDFName(PDFZCompress.pdfname)])}), _compressed(srgb_profile())
    )
    intent = PDFDictionary(
        {
            "Type": PDFName("OutputIntent"), "S": PDFName("GTS_PDFA1"), "OutputConditionIdentifier": PDFString(_COLOURS),
            "Info": PDFString(_COLOURS), "DestOutputProfile": doc.Reference(profile),
        }
    )  # fmt: skip
    # Metadata are never compressed: a program that knows no PDF finds them.
    xmp = PDFStream(
        PDFDictionary({"Type": PDFName("Metadata"), "Subtype": PDFName("XML")}),
        _xmp(title, info.producer, claims=claims),
    )
    doc.Catalog.__class__ = _Catalog
    doc.Catalog.OutputIntents = PDFArray([intent])
    doc.Catalog.Metadata = xmp


def _compressed(data: bytes) -> bytes:
    return bytes(PDFZCompress.encode(data))


def _xmp(title: str, producer: str, *, claims: bool) -> bytes:
    """The metadata as an XMP packet (ISO 16684-1); says of title, author and dates what the Info says."""
    said = escape("".join(ch for ch in title if ch >= " "))
    text = f"""<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/"
 xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/">
{_CLAIM if claims else ""}
<dc:format>application/pdf</dc:format>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{said}</rdf:li></rdf:Alt></dc:title>
<dc:description><rdf:Alt><rdf:li xml:lang="x-default">{said}</rdf:li></rdf:Alt></dc:description>
<dc:creator><rdf:Seq><rdf:li>{CREATOR}</rdf:li></rdf:Seq></dc:creator>
<xmp:CreatorTool>{CREATOR}</xmp:CreatorTool><xmp:CreateDate>{_DATE}</xmp:CreateDate><xmp:ModifyDate>{_DATE}</xmp:ModifyDate>
<pdf:Producer>{escape(producer)}</pdf:Producer>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="w"?>"""
    return text.encode("utf-8", "replace")


@cache
def srgb_profile() -> bytes:
    """The colour space of IEC 61966-2-1 as a profile (ICC.1:2001-04, version 2): three primaries and one curve."""
    curve = _curve([_linear(n / (_CURVE_POINTS - 1)) for n in range(_CURVE_POINTS)])
    tags = {
        b"desc": _description(_COLOURS), b"cprt": b"text\0\0\0\0No copyright\0", b"wtpt": _xyz(_WHITE_D50), b"rXYZ": _xyz(_RED),
        b"gXYZ": _xyz(_GREEN), b"bXYZ": _xyz(_BLUE), b"rTRC": curve, b"gTRC": curve, b"bTRC": curve,
    }  # fmt: skip
    start = 128 + 4 + 12 * len(tags)
    table, body, places = b"", b"", dict[bytes, int]()
    for name, data in tags.items():
        if data not in places:
            places[data] = start + len(body)
            body += data + b"\0" * (-len(data) % 4)
        table += struct.pack(">4sII", name, places[data], len(data))
    # size, module, version, class, colours, connection space, date, signature, platform, flags, maker, model, attributes, intent, white
    head = struct.pack(
        ">I4sI4s4s4s6H4s4sIIIQI12s48s", start + len(body), b"\0" * 4, 0x02100000, b"mntr", b"RGB ", b"XYZ ", 2000, 1, 1, 0, 0, 0,
        b"acsp", b"\0" * 4, 0, 0, 0, 0, 0, b"".join(map(_fixed, _WHITE_D50)), b"\0" * 48,
    )  # fmt: skip
    return head + struct.pack(">I", len(tags)) + table + body


def _linear(value: float) -> float:
    """IEC 61966-2-1: from a coded value to light."""
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def _fixed(value: float) -> bytes:
    return struct.pack(">i", round(value * 65536))


def _xyz(value: Sequence[float]) -> bytes:
    return b"XYZ \0\0\0\0" + b"".join(map(_fixed, value))


def _curve(values: Sequence[float]) -> bytes:
    return (
        b"curv\0\0\0\0" + struct.pack(">I", len(values)) + b"".join(struct.pack(">H", round(v * 65535)) for v in values)
    )


def _description(text: str) -> bytes:
    plain = text.encode("ascii") + b"\0"
    return b"desc\0\0\0\0" + struct.pack(">I", len(plain)) + plain + b"\0" * (4 + 4 + 2 + 1 + 67)
