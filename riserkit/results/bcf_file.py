"""Findings for the building model as a file, with the model's ids where the site was imported from one."""

from __future__ import annotations

import hashlib
import re
import zipfile
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from riserkit.drawings.dxf.document import write_whole
from riserkit.findings import Finding, Severity
from riserkit.importing.last import RECORD, read_last
from riserkit.model.site import Site
from riserkit.reports.bcf import ModelLink, bcf_bytes
from riserkit.results.folder import OutputError
from riserkit.results.import_site import FOLDER

_GLOBAL_ID: Final = re.compile(r"[0-3][0-9A-Za-z_$]{21}")
"""ISO 16739: a 128 bit number in 22 digits to the base of 64."""
_MODELS: Final = (".ifc", ".ifczip", ".ifcxml")
_MARK: Final = b"riserkit "


def model_link(source: Path, site: Site) -> ModelLink:
    """What of a site came from a building model, by the record of its import; nothing where it was not imported.

    Args:
        source: where the site stands.
        site: as read from there.

    Raises:
        InputError: the record of the import cannot be read.
    """
    record = source / FOLDER / RECORD
    if not record.is_file():
        return ModelLink()
    last = read_last(record.read_text("utf-8"), f"{FOLDER}/{RECORD}")
    doors = {
        mark: row.identity
        for row in last.tables.get("openings", ())
        for mark in (row.key, row.text("mark") or "")
        if mark in site.opening and _GLOBAL_ID.fullmatch(row.identity)
    }
    models = tuple(sorted(name for name in last.documents if name.lower().endswith(_MODELS)))
    return ModelLink(doors, models)


def write_bcf(
    path: Path, site: Site, findings: Iterable[Finding], link: ModelLink, least: Severity = Severity.WARNING
) -> None:
    """Write the archive; one that is there already is replaced only as riserkit wrote it: others answer in such files.

    Raises:
        OutputError: there is a file that riserkit did not write, or that was changed since.
        DrawingError: it cannot be written.
    """
    if path.exists() and not _is_ours(path):
        raise OutputError(f"{path} was not written by riserkit, or was changed since; name another file with --bcf")
    write_whole(path, stamped(bcf_bytes(site, findings, link, least)))


def stamped(archive: bytes) -> bytes:
    """The archive with a digest of itself as its comment, by which a change is noticed."""
    return archive[:-2] + _comment(archive)


def _comment(archive: bytes) -> bytes:
    """Length and text of the comment, which is last in an archive: without one it ends in a length of nought."""
    text = _MARK + hashlib.sha256(archive).hexdigest().encode()
    return len(text).to_bytes(2, "little") + text


def _is_ours(path: Path) -> bool:
    try:
        with zipfile.ZipFile(path) as archive:
            comment = archive.comment
        data = path.read_bytes()
    except (OSError, zipfile.BadZipFile):
        return False
    return bool(comment) and stamped(data[: -len(comment) - 2] + b"\0\0") == data
