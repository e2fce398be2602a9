"""A door's page, read off the design and its findings."""

from __future__ import annotations

from collections.abc import Iterator

from riserkit.design import DoorDesign
from riserkit.drawings.door.detail import door_banner
from riserkit.drawings.door.tables import opening_table
from riserkit.page.values import DoorPage, PageNotice
from riserkit.page.work import PageWork


def door_page(work: PageWork, door: DoorDesign) -> DoorPage:
    """The page of one door of a site."""
    facts = opening_table(work.design, door)
    return DoorPage(
        mark=door.mark, title=door.opening.name, facts=facts.rows, notices=tuple(_notices(work, door)),
    )  # fmt: skip


def _notices(work: PageWork, door: DoorDesign) -> Iterator[PageNotice]:
    banner = door_banner(work.design, door, work.findings_of.get(door.mark, ()))
    if banner is not None:
        yield PageNotice(banner.heading, (banner.words,), banner.hold)
    elif words := work.holds.words(door.mark):
        yield PageNotice("Accepted", (words,))
