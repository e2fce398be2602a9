"""Reads a site with whichever plugin knows its format."""

from __future__ import annotations

import logging
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final

from riserkit.model.assemble import assemble_site
from riserkit.model.problems import InputError, Problem, Where
from riserkit.model.raw import RawSite, is_outside
from riserkit.model.site import Site
from riserkit.plugin.asking import answers
from riserkit.plugin.failures import STRANGERS_MAY_RAISE, words_of
from riserkit.plugin.manager import Plugins, installed_plugins
from riserkit.plugin.stock import whole_stock
from riserkit.record.history import with_issues
from riserkit.record.issue import Issue
from riserkit.record.store import read_issues

READER: Final = "reader"
"""The option that names the plugin to read with, where two would."""
_END_BYTES: Final = 4096
_log = logging.getLogger("riserkit.plugin.read")


def read_site(path: Path | str, options: Mapping[str, str] | None = None, plugins: Plugins | None = None) -> Site:
    """Read a site and check everything in it.

    Args:
        path: a folder of tables, a document, or whatever else an installed plugin reads.
        options: settings of the format, such as `mapping` for a folder of tables; `reader` names the plugin to read with.
        plugins: those to ask; those installed when left out.

    Raises:
        InputError: with every problem found, or that no plugin reads this, or that two do.
    """
    return read_with_issues(path, options, plugins)[0]


def read_with_issues(
    path: Path | str, options: Mapping[str, str] | None = None, plugins: Plugins | None = None
) -> tuple[Site, tuple[Issue, ...]]:
    """A site as `read_site` has it, and its issues, the first issued first."""
    stated, issues = read_stated(path, options, plugins)
    # What has been issued keeps its labels and revisions, whatever the tables have become since.
    return with_issues(stated, issues), issues


def read_stated(
    path: Path | str, options: Mapping[str, str] | None = None, plugins: Plugins | None = None
) -> tuple[Site, tuple[Issue, ...]]:
    """A site as its tables state it, and its issues, which say more of it."""
    asked = plugins or installed_plugins()
    raw = read_raw(path, options, asked)
    raw = replace(raw, problems=(*raw.problems, *_background_problems(raw, folder_of(Path(path)))))
    for note in raw.notes:
        _log.info("%s", note)
    return assemble_site(raw, whole_stock(asked)), read_issues(Path(path))


def folder_of(path: Path) -> Path:
    """Where the files stand that a site names: its folder, or that of the document that it is."""
    return path if path.is_dir() else path.parent


def _background_problems(raw: RawSite, folder: Path) -> Iterator[Problem]:
    """Drawings that levels name and that cannot be had; whether they can be read to the end is seen where they are drawn."""
    for row in raw.tables.get("levels", ()):
        name = row.values.get("background")
        if isinstance(name, str) and name.strip() and (wanted := _unlike_drawing(folder, name.strip())):
            yield row.problem("background", name, wanted)


def _unlike_drawing(folder: Path, name: str) -> str:
    """Why a file is no drawing that plans can be drawn on; empty where it looks like one."""
    path = folder / name
    try:
        if is_outside(path, folder):
            return "expected a drawing in the site's folder; this lies outside"
        if not path.is_file():
            return "expected a drawing (DXF) in the site's folder; there is no such file"
        with path.open("rb") as file:
            head = file.read(_END_BYTES)
            file.seek(max(0, path.stat().st_size - _END_BYTES))
            tail = file.read(_END_BYTES)
    except (OSError, ValueError) as error:
        return f"expected a drawing (DXF) that can be read; {getattr(error, 'strerror', None) or error}"
    if b"SECTION" not in head:
        return "expected a drawing (DXF); this file is none"
    # What is cut short can be read as far as it goes, and walls would be missing without a word.
    return "" if b"EOF" in tail else "expected a whole drawing; this one is cut short: it does not end with EOF"


def read_raw(path: Path | str, options: Mapping[str, str] | None = None, plugins: Plugins | None = None) -> RawSite:
    """Read a site's records as they stand, unchecked; `notes` of the result says what was left out on request.

    Raises:
        InputError: there is nothing at the path, no plugin reads it, or two do.
    """
    asked, path = plugins or installed_plugins(), Path(path)
    settings = dict(options or {})
    chosen = settings.pop(READER, "")
    try:
        _look(path)
    except (OSError, ValueError) as error:
        raise _unread(path, f"it cannot be read: {getattr(error, 'strerror', None) or error}", asked) from error
    found, failed = _readings(asked, path, settings, chosen)
    if len(found) > 1:
        names = " and ".join(sorted(found))
        raise InputError(
            [Problem(Where(str(path)), "", "", f"expected one reader; {names} read this: choose one with --reader")]
        )
    if not found:
        raise _unread(path, "; ".join(failed), asked)
    return next(iter(found.values()))


def _readings(
    asked: Plugins, path: Path, settings: dict[str, str], chosen: str
) -> tuple[dict[str, RawSite], list[str]]:
    """By plugin what it read; and why others could not."""
    found: dict[str, RawSite] = {}
    failed: list[str] = []
    for one in sorted(asked.manager.hook.read_site.get_hookimpls(), key=lambda impl: impl.plugin_name):
        if chosen and chosen not in (one.plugin_name, one.plugin_name.partition(":")[2]):
            continue
        try:
            raw = one.function(**{name: {"path": path, "options": dict(settings)}[name] for name in one.argnames})
        except OSError as error:
            failed.append(f"it cannot be read: {error.strerror or error}")
        except STRANGERS_MAY_RAISE as error:
            failed.append(str(asked.log.add(one.plugin_name, "the reader", words_of(error))))
        else:
            if isinstance(raw, RawSite):
                found[one.plugin_name] = raw
            elif raw is not None:
                why = f"it returned {type(raw).__name__} where RawSite was expected"
                failed.append(str(asked.log.add(one.plugin_name, "the reader", why)))
    if chosen and not found and not failed:
        failed.append(f"no reader {chosen!r} reads it")
    return found, failed


def _unread(path: Path, why: str, asked: Plugins) -> InputError:
    lines = sorted(str(line) for _, line in answers(asked.manager, asked.log, "site_formats", "every format"))
    formats = "; ".join(lines) or "none, as no plugin is installed"
    reason = f", but {why}" if why else ""
    return InputError([Problem(Where(str(path)), "", "", f"expected a site{reason}; what can be read: {formats}")])


def _look(path: Path) -> None:
    """Raise OSError when there is nothing, or nothing that may be looked into; ValueError for an impossible name."""
    if path.is_dir():
        next(path.iterdir(), None)
    else:
        path.stat()
