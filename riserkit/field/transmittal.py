"""The register of a set and the transmittal of an issue as papers that go out with it."""

from __future__ import annotations

from collections.abc import Iterator

from riserkit.drawings.prints.pdf_file import pdf_bytes
from riserkit.field.blocks import FactList, PaperBlock, Paragraph, Signature
from riserkit.field.form import paper_form
from riserkit.field.paper import Paper, pages_of
from riserkit.field.table import WorkColumn, WorkTable
from riserkit.model.site import Site
from riserkit.quantities.printed import upper_first
from riserkit.record.issue import Issue
from riserkit.reports.register import sheet_counts, what_changed
from riserkit.reports.table import ReportTable, drawn_text
from riserkit.standards.egress import STANDING_CAUTIONS


def transmittal_pdf(site: Site, issue: Issue) -> bytes:
    """What goes out with an issue: each sheet with its revision and what changed on it."""
    return _pdf(site, issue, "Transmittal", tuple(_transmittal(site, issue)))


def register_pdf(site: Site, issue: Issue, register: ReportTable) -> bytes:
    """Every sheet of the set with the revisions that it has gone through."""
    columns = tuple(WorkColumn(name, leads=name in ("sheet", "title"), max_mm=70) for name in register.columns)
    rows = tuple(tuple(drawn_text(cell) for cell in row) for row in register.rows)
    return _pdf(site, issue, "Register of sheets", (WorkTable("Sheets", columns, rows),))


def _pdf(site: Site, issue: Issue, title: str, blocks: tuple[PaperBlock, ...]) -> bytes:
    info = site.info
    project = info.project
    purpose = upper_first(issue.purpose)
    paper = Paper(
        f"{title}, revision {issue.revision}", f"Issued by {issue.name}", project,
        f"Revision {issue.revision}, {issue.date.isoformat()}", purpose, info.approved_by, blocks,
        code=f"{title}; revision {issue.revision}; {project}",
    )  # fmt: skip
    return pdf_bytes(pages_of(paper, paper_form(info)), title=f"{title} {issue.revision}")


def _transmittal(site: Site, issue: Issue) -> Iterator[PaperBlock]:
    info = site.info
    yield FactList(
        (
            ("Project", info.project),
            ("Address", info.address or "not stated"),
            ("Owner", info.owner or "not stated"),
            ("From", ", ".join(filter(None, (issue.name, info.designer)))),
            ("Revision, date", f"{issue.revision}, {issue.date.isoformat()}"),
            ("Purpose", issue.purpose),
            ("About", issue.note or "not stated"),
            ("Sheets", sheet_counts(issue)),
        )
    )
    columns = (
        WorkColumn("Sheet", leads=True, max_mm=32), WorkColumn("Title", leads=True, max_mm=50), WorkColumn("Rev."),
        WorkColumn("Date"), WorkColumn("What changed", max_mm=70),
    )  # fmt: skip
    rows = tuple((s.number, s.title, s.revision, s.date.isoformat(), what_changed(s, issue)) for s in issue.sheets)
    yield WorkTable("Sheets", columns, rows)
    yield Paragraph(
        "Sheets marked VOID are withdrawn: destroy every copy of them, and of earlier revisions of the others."
    )
    yield from (Paragraph(text) for text in STANDING_CAUTIONS[:2])
    yield Signature(("Received by", "Date", "Signature", "Copies"))
