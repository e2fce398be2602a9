"""What every sheet of a set says, without writing it: by that, an issue tells which sheets have changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from riserkit.design import Design
from riserkit.drawings.processes import cores, done_in_order
from riserkit.drawings.revisions.content import sheet_content
from riserkit.drawings.revisions.values import SheetContent
from riserkit.drawings.set.plan import SetOptions, SheetJob, plan_set
from riserkit.findings import Finding

_LEAST_SHARED = 8


@dataclass(frozen=True, slots=True)
class SheetSaid:
    """A sheet and what it says."""

    sheet_id: str
    title: str
    kind: str
    subject: str
    content: SheetContent


# Set before the fork, so that children find it in their memory: jobs hold functions that cannot be sent.
_jobs: Sequence[SheetJob] = ()


def set_content(
    design: Design,
    findings: Sequence[Finding],
    options: SetOptions,
    progress: Callable[[str, int, int], None],
) -> tuple[SheetSaid, ...]:
    """What the sheets of a set say, in the order of the set.

    Raises:
        DrawingError: something cannot be drawn as asked.
    """
    global _jobs  # noqa: PLW0603 - the one way to hand a forked child what cannot be pickled
    _jobs = plan_set(design, findings, options)
    try:
        found = []
        for said in done_in_order(_said, range(len(_jobs)), cores(), _LEAST_SHARED, "compared"):
            found.append(said)
            progress("comparing", len(found), len(_jobs))
        return tuple(found)
    finally:
        _jobs = ()


def _said(number: int) -> SheetSaid:
    job = _jobs[number]
    content = sheet_content(job.draw(), is_plan=job.kind == "plan")
    return SheetSaid(job.sheet_id, job.title, job.kind, job.subject, content)
