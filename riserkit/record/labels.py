"""Labels that issues have given out, put among those that a site states: once issued, a label keeps its subject."""

from __future__ import annotations

from collections.abc import Iterable

from riserkit.model.site import Site
from riserkit.record.issue import Issue


def with_issued_labels(site: Site, issues: Iterable[Issue]) -> Site:
    """The site with the labels of its issues; what its own table states of a subject counts before them.

    Args:
        site: as it was read.
        issues: the first issued first.
    """
    labels = {(label.kind, label.subject): label for issue in issues for label in issue.labels}
    labels |= {(label.kind, label.subject): label for label in site.issued_labels}
    found = tuple(labels.values())
    return site if found == site.issued_labels else site.model_copy(update={"issued_labels": found})
