"""Findings for the building model as a file, with the model's ids where the site was imported from one."""

from __future__ import annotations

import hashlib
import os
import re
import stat
import zipfile
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from riserkit.findings import Finding, Severity
from riserkit.importing.last import RECORD, read_last
from riserkit.model.site import Site
from riserkit.reports.bcf import ModelLink, bcf_bytes
from riserkit.results.folder import OutputError, folder_beside, place_of
from riserkit.results.import_site import FOLDER, text_of

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
    record = text_of(source / FOLDER / RECORD) if source.is_dir() else None
    if record is None:
        return ModelLink()
    last = read_last(record, f"{FOLDER}/{RECORD}")
    doors = {
        mark: row.identity
        for row in last.tables.get("openings", ())
        for mark in (row.key, row.text("mark") or "")
        if mark in site.opening and _GLOBAL_ID.fullmatch(row.identity)
    }
    models = tuple(sorted(name for name in last.documents if name.lower().endswith(_MODELS)))
    return ModelLink(doors, models)


def bcf_place(path: Path) -> Path:
    """Where an archive goes, links followed. A refusal comes before the work, so that nobody waits a minute for it.

    Raises:
        OutputError: there is what riserkit did not write, or what was changed since: others answer in such files.
    """
    place = place_of(path)
    if place.exists() and not _is_ours(place):
        raise OutputError(f"{path} was not written by riserkit, or was changed since; name another file with --bcf")
    return place


def write_bcf(
    path: Path, site: Site, findings: Iterable[Finding], link: ModelLink, least: Severity = Severity.WARNING
) -> None:
    """Write the archive, whole or not at all, over one only that riserkit wrote.

    Raises:
        OutputError: it cannot be written, or there is what riserkit did not write, or what was changed since.
    """
    place = bcf_place(path)
    archive = stamped(bcf_bytes(site, findings, link, least))
    try:
        with folder_beside(place) as beside:
            (beside / place.name).write_bytes(archive)
            bcf_place(path)
            os.replace(beside / place.name, place)  # noqa: PTH105 - one call for what must be one step
    except OSError as error:
        raise OutputError(f"cannot write {path}: {error.strerror or error}; name another file with --bcf") from error


def stamped(archive: bytes) -> bytes:
    """The archive with a digest of itself as its comment, by which a change is noticed."""
    return archive[:-2] + _comment(archive)


def _comment(archive: bytes) -> bytes:
    """Length and text of the comment, which is last in an archive: without one it ends in a length of nought."""
    text = _MARK + hashlib.sha256(archive).hexdigest().encode()
    return len(text).to_bytes(2, "little") + text


def _is_ours(path: Path) -> bool:
    try:
        if not stat.S_ISREG(path.stat().st_mode):  # a pipe is never opened: that might wait for ever
            return False
        with zipfile.ZipFile(path) as archive:
            comment = archive.comment
        data = path.read_bytes()
    except (OSError, zipfile.BadZipFile):
        return False
    return bool(comment) and stamped(data[: -len(comment) - 2] + b"\0\0") == data
