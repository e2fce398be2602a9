"""The plugin interface: this file is all of it.

A plugin is an installed package that registers a module under the entry-point group `riserkit` and implements any of the hooks
below with `@hookimpl`. It may state which version of the interface it was written for: `riserkit_api = 1`. Nothing in
a site's folder is ever executed.

A plugin that fails, at import or in a hook, is named with the exception's words and left out, a finding says so, and all
else goes on. A plugin is code that the user has installed: it is guarded against mistakes, not against malice. One that
does not return can be stopped with Ctrl-C; `riserkit plugins` says what each brings.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pluggy

if TYPE_CHECKING:
    from riserkit.design import Design
    from riserkit.findings import Finding
    from riserkit.importing.facts import Facts
    from riserkit.importing.settings import DocumentSettings
    from riserkit.model.cabling import CableType
    from riserkit.model.parts import Part
    from riserkit.model.raw import RawSite, TextSheet
    from riserkit.rules._shared.base import Rule
    from riserkit.wiring.arrangement import Arrangement

API_VERSION: Final = 1
"""Raised when a hook changes so that plugins must."""

GROUP = "riserkit"
hookspec = pluggy.HookspecMarker(GROUP)
hookimpl = pluggy.HookimplMarker(GROUP)


class Hooks:
    """The hooks a plugin may implement."""

    @hookspec
    def read_site(self, path: Path, options: dict[str, str]) -> RawSite | None:
        """Read a site from `path`, or return None when the path is not of this plugin's format.

        Format problems (cannot decode, bad JSON) go into `RawSite.problems` with where they are; never
        raise for bad input. Two plugins that read one path are a question to the user, who answers with `--reader`.
        """

    @hookspec
    def site_formats(self) -> str:  # type: ignore[empty-body]
        """One line that says what this plugin reads, for the error when nothing does."""

    @hookspec
    def more_rules(self) -> Sequence[Rule]:  # type: ignore[empty-body]
        """Rules to be evaluated with the others, each of a name of its own."""

    @hookspec
    def more_arrangements(self) -> Sequence[Arrangement]:  # type: ignore[empty-body]
        """Wiring arrangements to be considered with the others, each of a name of its own."""

    @hookspec
    def more_parts(self) -> Sequence[Part]:  # type: ignore[empty-body]
        """Parts that every site may use by id, as those that ship. A site's own part of the same id takes its place."""

    @hookspec
    def more_cable_types(self) -> Sequence[CableType]:  # type: ignore[empty-body]
        """Cable types that every site may use by id, likewise."""

    @hookspec
    def more_files(self, design: Design, findings: Iterable[Finding]) -> Mapping[str, str | bytes]:  # type: ignore[empty-body]
        """Files to be written beside drawings and schedules, by plain file name.

        They stand in a folder of the plugin's name within `plugins`. The same design yields the same bytes.
        """

    @hookspec
    def read_document(self, path: Path, settings: DocumentSettings) -> Facts | None:
        """Read a document (a plan, a building model, a list of doors), or return None when it is not of this plugin's format.

        Facts are in the document's own frame, in metres, each with where it was found; what is inferred says from what.
        Nothing in a document is executed, and nothing that it names is fetched. What is wrong with the document as a whole is
        raised as `InputError`; what is not understood in it goes into `Facts.notes`.
        """

    @hookspec
    def document_formats(self) -> str:  # type: ignore[empty-body]
        """One line that says which documents this plugin reads, for the error when nothing does."""

    @hookspec
    def read_sheets(self, path: Path) -> Sequence[TextSheet] | None:
        """Read a workbook or a text table that a crew has filled in, or return None when it is not of this plugin's format.

        Every sheet as texts, hidden rows too. What is wrong with the file as a whole is raised as `InputError`.
        """
