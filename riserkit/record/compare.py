"""Was and is: how two sets of facts differ, as data that tells the one from the other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from riserkit.quantities.counting import counting_order
from riserkit.record.facts import Facts, Row

Change = Literal["added", "removed", "changed"]


@dataclass(frozen=True, slots=True)
class FactChange:
    """One fact that differs. `was` is empty where it was not said before, `is_now` where it is said no more."""

    kind: str
    subject: str
    field: str
    was: str
    is_now: str

    @property
    def reverse(self) -> FactChange:
        """The same change seen from the other side."""
        return FactChange(self.kind, self.subject, self.field, self.is_now, self.was)


@dataclass(frozen=True, slots=True)
class SubjectChange:
    """What changed of one subject: it came, it went, or some of its fields differ."""

    kind: str
    subject: str
    change: Change
    facts: tuple[FactChange, ...]


@dataclass(frozen=True)
class Difference:
    """All that differs between two sets of facts, subjects in counting order within their kinds."""

    subjects: tuple[SubjectChange, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.subjects)

    @property
    def reverse(self) -> Difference:
        """The difference the other way round."""
        turned = {"added": "removed", "removed": "added", "changed": "changed"}
        return Difference(
            tuple(
                SubjectChange(s.kind, s.subject, turned[s.change], tuple(f.reverse for f in s.facts))  # type: ignore[arg-type]
                for s in self.subjects
            )
        )


def compare(was: Facts, now: Facts) -> Difference:
    """How the facts differ; empty when they are the same.

    Args:
        was: the facts before.
        now: the facts after.
    """
    kinds = (*now, *(kind for kind in was if kind not in now))
    return Difference(tuple(s for kind in kinds for s in _of_kind(kind, was.get(kind, {}), now.get(kind, {}))))


def _of_kind(kind: str, was: Mapping[str, Row], now: Mapping[str, Row]) -> Iterator[SubjectChange]:
    for subject in sorted({*was, *now}, key=counting_order):
        before, after = was.get(subject), now.get(subject)
        if before == after:
            continue
        change: Change = "added" if before is None else "removed" if after is None else "changed"
        before, after = before or {}, after or {}
        fields = (*before, *(field for field in after if field not in before))
        facts = tuple(
            FactChange(kind, subject, field, before.get(field, ""), after.get(field, ""))
            for field in fields
            if before.get(field, "") != after.get(field, "")
        )
        yield SubjectChange(kind, subject, change, facts)
