"""The plugin interface: this file is all of it.

A plugin is an installed package that registers a module under the entry-point group `riserkit` and implements any
of the
hooks below with `@riserkit.hooks.hookimpl`. Nothing in a site's folder is ever executed.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import pluggy

if TYPE_CHECKING:
    from riserkit.model.raw import RawSite
    from riserkit.rules._shared.base import Rule
    from riserkit.wiring.arrangement import Arrangement

GROUP = "riserkit"
hookspec = pluggy.HookspecMarker(GROUP)
hookimpl = pluggy.HookimplMarker(GROUP)


class Hooks:
    """The hooks a plugin may implement."""

    @hookspec(firstresult=True)
    def read_site(self, path: Path, options: dict[str, str]) -> RawSite | None:
        """Read a site from `path`, or return None when the path is not of this plugin's format.

        Format problems (cannot decode, bad JSON) go into `RawSite.problems` with where they are; never
        raise for bad input.
        """

    @hookspec
    def site_formats(self) -> str:  # type: ignore[empty-body]
        """One line that says what this plugin reads, for the error when nothing does."""

    @hookspec
    def more_rules(self) -> Sequence[Rule]:  # type: ignore[empty-body]
        """Rules to be evaluated with the shipped ones."""

    @hookspec
    def more_arrangements(self) -> Sequence[Arrangement]:  # type: ignore[empty-body]
        """Wiring arrangements to be considered with the shipped ones."""
