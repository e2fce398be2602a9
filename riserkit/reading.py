"""Reads a site with whichever plugin knows its format."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from pathlib import Path

import pluggy

from riserkit.errors import RiserkitError
from riserkit.model.assemble import assemble_site
from riserkit.model.problems import InputError, Problem, Where
from riserkit.model.raw import RawSite
from riserkit.model.site import Site
from riserkit.plugin_manager import installed_plugins

_log = logging.getLogger("riserkit.reading")


def read_site(
    path: Path | str, options: Mapping[str, str] | None = None, manager: pluggy.PluginManager | None = None
) -> Site:
    """Read a site and check everything in it.

    Args:
        path: a folder of tables, a document, or whatever else an installed plugin reads.
        options: settings of the format, such as `mapping` for a folder of tables.
        manager: plugins to ask; those installed when left out.

    Raises:
        InputError: with every problem found, or that no plugin reads this.
    """
    raw = read_raw(path, options, manager)
    for note in raw.notes:
        _log.info("%s", note)
    return assemble_site(raw)


def read_raw(
    path: Path | str, options: Mapping[str, str] | None = None, manager: pluggy.PluginManager | None = None
) -> RawSite:
    """Read a site's records as they stand, unchecked; `notes` of the result says what was left out on request.

    Raises:
        InputError: there is nothing at the path, or no plugin reads it.
        RiserkitError: a plugin returned something else than a raw site.
    """
    hook = (manager or installed_plugins().manager).hook
    path = Path(path)
    formats = "; ".join(sorted(str(line) for line in hook.site_formats())) or "none, as no plugin is installed"
    try:
        _look(path)
        raw = hook.read_site(path=path, options=dict(options or {}))
        accepted = f"expected a site; what can be read: {formats}"
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raw, accepted = None, f"expected a site, but it cannot be read: {reason}; what can be read: {formats}"
    if raw is None:
        raise InputError([Problem(Where(str(path)), "", "", accepted)])
    if not isinstance(raw, RawSite):
        raise RiserkitError(f"a plugin read {path} and returned {type(raw).__name__} where RawSite was expected")
    return raw


def _look(path: Path) -> None:
    """Raise OSError when there is nothing, or nothing that may be looked into; ValueError for an impossible name."""
    if path.is_dir():
        next(path.iterdir(), None)
    else:
        path.stat()
