"""A site's papers for the crew in a folder of their own, whole or not at all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from riserkit.checked import Checked
from riserkit.design import Design, DoorDesign
from riserkit.errors import RiserkitError
from riserkit.field.about import FieldWork
from riserkit.model.place import Closet
from riserkit.pipeline import BLOCKS, Progress, no_progress, read_to_work, work_out
from riserkit.reports.test_sheet import door_tests
from riserkit.results.build import kept_work
from riserkit.results.field import FieldFiles, write_field
from riserkit.results.folder import own_folder, whole_folder
from riserkit.results.kept_file import write_kept
from riserkit.results.site_tables import site_tables

_SHOWN: Final = 8


@dataclass(frozen=True, slots=True)
class FieldOptions:
    """Which papers.

    Args:
        reading: settings of the input format, such as `mapping`.
        doors: marks of the openings that get a packet; empty for all, or for none where closets are named.
        closets: ids or labels of the closets that get a packet; empty for all, or for none where doors are named.
    """

    reading: Mapping[str, str] = field(default_factory=dict)
    doors: tuple[str, ...] = ()
    closets: tuple[str, ...] = ()


def field_site(
    source: Path, output: Path, options: FieldOptions | None = None, progress: Progress = no_progress
) -> tuple[Checked, FieldFiles]:
    """Read, design and check a site, and write its papers for the crew.

    Args:
        source: where the site stands.
        output: the folder; replaced when all in it is as riserkit wrote it, and it holds no drawings.
        options: see there.
        progress: told of every step.

    Raises:
        RiserkitError: the input has problems, no such door or closet, or the folder cannot be written.
    """
    asked = options or FieldOptions()
    target, found = own_folder(output, ", or use riserkit build --field")
    kept = kept_work(target)
    progress("reading", 0, 1)
    site, issues = read_to_work(source, asked.reading)
    progress("reading", 1, 1)
    checked = work_out(site, progress=progress, kept=kept)
    doors, closets = _chosen(checked.design, asked)
    tests = door_tests(checked.design)
    own = source / BLOCKS
    work = FieldWork(checked.design, checked.findings, tests, issues, (own,) if own.is_dir() else ())
    with whole_folder(target, None, found) as folder:
        tables = site_tables(checked, tests)
        files = write_field(work, folder, tables, doors, closets, progress)
        write_kept(folder, kept)
    return checked, files


def _chosen(design: Design, asked: FieldOptions) -> tuple[Sequence[DoorDesign], Sequence[Closet]]:
    """The doors and closets asked for; all of both where neither is named."""
    if not asked.doors and not asked.closets:
        return design.doors, design.site.closets
    closets = {name: c for c in design.site.closets for name in (c.id, design.labels.closet_of(c.id))}
    for kind, names, known in (("opening", asked.doors, design.door), ("closet", asked.closets, closets)):
        unknown = [name for name in names if name not in known]
        if unknown:
            more = ", ".join(list(known)[:_SHOWN]) or "none"
            raise RiserkitError(
                f"no {kind} {', '.join(unknown)}; the site has {more}{' and more' if len(known) > _SHOWN else ''}"
            )
    rooms = {closets[name].id for name in asked.closets}
    return (
        [door for door in design.doors if door.mark in asked.doors],
        [closet for closet in design.site.closets if closet.id in rooms],
    )
