"""The photographs of a set that shows what was built, as one document."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from riserkit.checked import Checked
from riserkit.record.issue import Issue

PHOTOGRAPHS: Final = "photographs.pdf"


def write_photographs(checked: Checked, folder: Path, issues: Sequence[Issue], photos: Path | None) -> None:
    """Photographs that came back, of a set that shows what was built."""
    if checked.design.site.as_built is None or photos is None:
        return
    from riserkit.field.about import FieldWork  # noqa: PLC0415
    from riserkit.field.form import paper_form  # noqa: PLC0415
    from riserkit.field.photographs import photographs_paper  # noqa: PLC0415 - loads the library of pictures
    from riserkit.results.field import paper_pdf  # noqa: PLC0415

    paper = photographs_paper(FieldWork(checked.design, checked.findings, {}, issues), photos)
    if paper is not None:
        (folder / PHOTOGRAPHS).write_bytes(paper_pdf(paper, paper_form(checked.design.site.info)))
