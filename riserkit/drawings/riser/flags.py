"""Findings as a drawing shows them: markers beside what they are about, and lists of what was accepted and is open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from riserkit.drawings.riser.values import Flag
from riserkit.drawings.setting.table import Table, columns_of
from riserkit.findings import Finding, Severity, Verdict, kind_words
from riserkit.quantities.grouping import grouped
from riserkit.quantities.natural_order import runs

_LETTERS: Final = {Severity.ERROR: "E", Severity.WARNING: "W"}
_LETTERS_A_ROW: Final = 260
_PLURALS: Final = {"switch": "switches", "supply": "supplies"}
_Key = tuple[str, str]
_Name = tuple[str, str, str, str]


@dataclass(frozen=True)
class Flags:
    """Markers by kind and subject, as findings name them, and the lists they point to."""

    by_subject: Mapping[_Key, tuple[Flag, ...]]
    accepted: Table | None
    open_findings: Table | None

    def of(self, *keys: _Key) -> tuple[Flag, ...]:
        """The markers of one thing that findings may name in several ways: the worst open one, then those accepted."""
        found = dict.fromkeys(flag for key in keys for flag in self.by_subject.get(key, ()))
        opened = sorted((flag for flag in found if not flag.accepted), key=lambda flag: flag.text)
        return (*opened[:1], *(flag for flag in found if flag.accepted))


def read_flags(findings: Iterable[Finding]) -> Flags:
    """Number the accepted findings in their order, and mark everything that is open or accepted."""
    worth = [f for f in findings if f.verdict is not Verdict.PASS]
    found: dict[_Key, list[Flag]] = {}
    accepted = _numbered(worth)
    for finding in worth:
        number = accepted[_named(finding)] if finding.acceptance is not None else 0
        text = f"A{number}" if number else _LETTERS.get(finding.severity, "")
        if text:
            found.setdefault((finding.subject_kind, finding.subject), []).append(Flag(text, accepted=bool(number)))
    return Flags({key: tuple(flags) for key, flags in found.items()}, _accepted(worth, accepted), _open(worth))


def _named(finding: Finding) -> _Name:
    return finding.rule, finding.subject_kind, finding.subject, finding.about


def _numbered(findings: Sequence[Finding]) -> dict[_Name, int]:
    keys = dict.fromkeys(_named(f) for f in findings if f.acceptance is not None)
    return {key: number for number, key in enumerate(keys, 1)}


def _accepted(findings: Sequence[Finding], numbers: Mapping[_Name, int]) -> Table | None:
    rows, subjects = [], []
    for name, number in numbers.items():
        same = [f for f in findings if _named(f) == name and f.acceptance]
        rule, kind, subject, about = name
        acceptance = same[0].acceptance
        if acceptance is None:
            continue
        marked = "LIFE SAFETY: " if any(f.is_life_safety_error for f in same) else ""
        condition = f", {about}" if about else ""
        said = f"{marked}{rule} of {kind_words(kind)} {subject}{condition}: {' '.join(f.message for f in same)}"
        approved = " ".join(filter(None, (acceptance.authority, acceptance.reference)))
        by = f"{acceptance.name}, {acceptance.date.isoformat()}{f'; approved by {approved}' if approved else ''}"
        rows.append((f"A{number}", said, acceptance.reason, by))
        subjects.append(f"{kind}:{subject}")
    if not rows:
        return None
    headers = ("No.", "Finding accepted", "Reason", "By, date")
    return Table("Accepted findings", columns_of(headers, (12, 62, 62, 34)), tuple(rows), tuple(subjects))


def _open(findings: Sequence[Finding]) -> Table | None:
    """What speaks against which things, by rule; the sentences with their numbers stand in the list of findings."""
    subjects = grouped(
        ((_LETTERS[f.severity], f.rule, f.subject_kind), f.subject)
        for f in findings
        if f.is_open and f.severity in _LETTERS
    )
    rows, about = [], []
    for letter, rule, kind in sorted(subjects, key=lambda key: key[0]):
        names = tuple(dict.fromkeys(subjects[letter, rule, kind]))
        if kind == "site":
            rows.append((letter, rule, "the site as a whole"))
            about.append(f"rule:{rule}")
            continue
        many = f"{len(names)} {_PLURALS.get(kind, f'{kind}s')}: " if len(names) > 1 else f"{kind_words(kind)} "
        for n, part in enumerate(_parts(runs(names))):
            rows.append((letter, rule, ("" if n else many) + ", ".join(part)))
            about.append(f"rule:{rule}")
    if not rows:
        return None
    headers = ("Flag", "Rule", "Applies to (numbers and remedies: list of findings)")
    return Table("Open findings", columns_of(headers, (12, 48, 110)), tuple(rows), tuple(about))


def _parts(names: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """Names by as many as a cell shows whole."""
    part: tuple[str, ...] = ()
    for name in names:
        if part and sum(map(len, part)) + len(name) > _LETTERS_A_ROW:
            yield part
            part = ()
        part = (*part, name)
    yield part
