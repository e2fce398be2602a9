"""Findings as a list to be read: by harm, one block for each door, causes before what follows from them."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from riserkit.acceptances import accepted_text
from riserkit.errors import RiserkitError
from riserkit.findings import (
    ACCEPTED_LIFE_SAFETY,
    AT_A_DOOR,
    Finding,
    FindingOrder,
    Harm,
    Severity,
    Verdict,
    by_harm,
    status,
)
from riserkit.model.site import Site
from riserkit.pipeline import counts
from riserkit.quantities.counting import counted, counting_order
from riserkit.quantities.grouping import grouped
from riserkit.reports.printing import filled
from riserkit.rules._shared.page import pages_of_package

_SEVERITIES: Final = tuple(Severity)
_SHORT: Final = 60
"""Longest remedy, in letters, that is repeated rather than referred to."""
_FACT: Final = re.compile(r"State (\S+) of this opening\.")
_MEANINGS: Final = {"egress-conditions": "riserkit tables confirmations says what each means."}
"""Where the words are explained that a list of one rule's conditions leaves bare."""
_FACT_OF_SITE: Final = re.compile(r"State \S+ of the site\.")
_UPPER: Final = {"ups": "UPS"}
_Place = tuple[str, str]
_Repeat = tuple[str, Verdict, str, str]
"""Rule, verdict, remedy and which of the rule's conditions."""
_OWN_WORDS: Final = 6
"""Of openings folded under another so many other messages are quoted: their own figures."""


_Repeats = Mapping[_Repeat, tuple[Finding, ...]]


@dataclass(frozen=True, slots=True)
class ListLine:
    """A line of the list. `style`: `bold`, `dim` or empty."""

    text: str
    style: str = ""


@dataclass(frozen=True, slots=True)
class FindingFilter:
    """Which findings are asked for; an empty field asks for all."""

    doors: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    levels: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _OneIssue:
    """What is said of one thing, or alike of several: what is shown, the rules that follow from it or wait for it."""

    places: tuple[_Place, ...]
    shown: tuple[Finding, ...]
    following: tuple[str, ...]
    waiting: tuple[str, ...]


def chosen(site: Site, findings: Sequence[Finding], choice: FindingFilter) -> tuple[Finding, ...]:
    """The findings about these doors or doors of these levels, of these rules.

    A finding of several doors is about each of them.

    Raises:
        RiserkitError: the site has no such door, level or rule; with what it has.
    """
    _known("opening", choice.doors, site.opening)
    _known("level", choice.levels, site.level)
    said = {f.rule for f in findings}
    if set(choice.rules) - said:  # a rule with nothing to say of this site is a rule all the same
        said |= {page.name for page in pages_of_package("riserkit.rules")}
    _known("rule", choice.rules, said)
    marks = {*choice.doors, *(o.mark for o in site.openings if o.level in choice.levels)}
    by_place = bool(choice.doors or choice.levels)
    return tuple(
        f for f in findings
        if (not choice.rules or f.rule in choice.rules) and (not by_place or _about(f) & marks)
    )  # fmt: skip


def _known(what: str, names: Iterable[str], known: Iterable[str]) -> None:
    every = sorted(known, key=counting_order)
    for name in names:
        if name not in every:
            raise RiserkitError(f"no {what} {name!r}; expected one of {textwrap.shorten(', '.join(every), 400)}")


def _about(finding: Finding) -> set[str]:
    own = {finding.subject} if finding.subject_kind in AT_A_DOOR else set()
    return own | set(finding.concerns) | set(finding.serves)


def listing(
    site: Site, findings: Sequence[Finding], *, least: Severity = Severity.WARNING, everything: bool = False,
    width: int = 80,
) -> Iterator[ListLine]:  # fmt: skip
    """The list, then the count of all.

    Args:
        site: that was checked.
        findings: of it.
        least: the least severity shown.
        everything: show also what is accepted and what passed.
        width: letters of a line.
    """
    harm: Harm | None = None
    told: dict[tuple[str, str], str] = {}
    repeated: _Repeats = {} if everything else _repeated(findings)
    for block in _merged(_blocks(site, findings, least, everything, repeated)):
        now = _worst(block)[0].harm
        if now is not harm:
            harm = now
            yield ListLine((harm or Harm.LIFE_SAFETY).upper(), "bold")
        yield from _lines(block, width, told, repeated)
    yield from _life_safety_accepted(findings, width, everything)
    yield from (ListLine(text) for text in filled(summary(site, findings), width, "", "  "))
    hidden = _not_shown(findings, least)
    if hidden and not everything:
        yield from (ListLine(text, "dim") for text in filled(hidden, width, "", "  "))


def _repeated(findings: Sequence[Finding]) -> dict[_Repeat, tuple[Finding, ...]]:
    """Warnings of one rule with one remedy at several openings, one of each, in order; shown once, at the first."""
    alike: dict[_Repeat, dict[str, Finding]] = {}
    for f in findings:
        if _may_repeat(f):
            alike.setdefault(_repeat(f), {})[f.subject] = f
    return {key: tuple(m[mark] for mark in sorted(m, key=counting_order)) for key, m in alike.items() if len(m) > 1}


def _repeat(finding: Finding) -> _Repeat:
    return finding.rule, finding.verdict, finding.remedy, finding.about


def _may_repeat(finding: Finding) -> bool:
    """What fails alike is folded, and what waits for one fact of the site.

    What else could not be evaluated stays in full at its own opening.
    """
    alike = finding.verdict is Verdict.FAIL or bool(_FACT_OF_SITE.fullmatch(finding.remedy))
    warns = finding.is_open and finding.severity is Severity.WARNING
    return warns and alike and finding.subject_kind == "opening" and bool(finding.remedy)


def _others(finding: Finding, repeated: _Repeats) -> tuple[Finding, ...]:
    """The findings that repeat this one, which is in full at the first of their openings."""
    alike = repeated.get(_repeat(finding), ()) if _may_repeat(finding) else ()
    return alike[1:] if alike and finding.subject == alike[0].subject else ()


def _is_repeat(finding: Finding, repeated: _Repeats) -> bool:
    return _may_repeat(finding) and any(finding.subject == f.subject for f in repeated.get(_repeat(finding), ())[1:])


def _with_others(finding: Finding, others: Sequence[Finding]) -> str:
    """What is said of an opening, then of those folded under it: their marks, and what they say that is their own."""
    said = grouped((f.message, f.subject) for f in others)
    alike, own = said.pop(finding.message, []), list(said.items())
    words = [finding.message, *([f"Also at {', '.join(alike)}."] if alike else [])]
    words += [f"At {', '.join(marks)}: {message}" for message, marks in own[:_OWN_WORDS]]
    if own[_OWN_WORDS:]:
        rest = ", ".join(sorted((mark for _, marks in own[_OWN_WORDS:] for mark in marks), key=counting_order))
        words.append(f"With words of their own, which --all shows, also at {rest}.")
    return " ".join(words)


def _blocks(
    site: Site, findings: Sequence[Finding], least: Severity, everything: bool,
    repeated: _Repeats,
) -> Iterator[_OneIssue]:  # fmt: skip
    by_place = grouped((_place(site, finding), finding) for finding in findings)
    for place, of_it in by_place.items():
        # A check that waits for what another says of the same thing is named under that, whatever its severity.
        said = {f.rule for f in of_it if f.is_open and (f.verdict is Verdict.FAIL or not f.causes)}
        waiting = [f for f in of_it if f.is_open and said & set(f.causes)]
        shown = [
            f for f in of_it
            if f not in waiting and _is_shown(f, least, everything) and not _is_repeat(f, repeated)
        ]  # fmt: skip
        if shown:
            causes = {rule for f in waiting for rule in f.causes}
            ordered = sorted(shown, key=lambda f: (not f.is_open, f.rule not in causes, by_harm(f)))
            yield _OneIssue(
                (place,), tuple(ordered), _rules(waiting, Verdict.FAIL), _rules(waiting, Verdict.NOT_EVALUATED)
            )


def _rules(findings: Iterable[Finding], verdict: Verdict) -> tuple[str, ...]:
    return tuple(sorted({f.rule for f in findings if f.verdict is verdict}))


def _place(site: Site, finding: Finding) -> _Place:
    is_opening = finding.subject_kind in AT_A_DOOR and finding.subject in site.opening
    return ("opening", finding.subject) if is_opening else (finding.subject_kind, finding.subject)


def _is_shown(finding: Finding, least: Severity, everything: bool) -> bool:
    if not finding.is_open:
        return everything
    return everything or _SEVERITIES.index(finding.severity) <= _SEVERITIES.index(least)


def _merged(blocks: Iterable[_OneIssue]) -> list[_OneIssue]:
    """Things of which the same is said, as one block; in the order of the worst said."""
    alike: dict[object, _OneIssue] = {}
    for block in blocks:
        kind = block.places[0][0]
        key = (
            kind,
            block.following,
            block.waiting,
            tuple((status(f), f.verdict, f.rule, f.about, f.message, f.remedy) for f in block.shown),
        )
        first = alike.get(key)
        alike[key] = replace(first, places=(*first.places, *block.places)) if first else block
    return sorted(alike.values(), key=lambda block: _worst(block)[1])


def _worst(block: _OneIssue) -> tuple[Finding, tuple[bool, FindingOrder]]:
    """The finding by which a block is placed: the worst harm that is open, else of all."""
    found = [f for f in block.shown if f.is_open] or list(block.shown)
    first = min(found, key=by_harm)
    return first, (not any(f.is_open for f in block.shown), by_harm(first))


def _lines(block: _OneIssue, width: int, told: dict[tuple[str, str], str], repeated: _Repeats) -> Iterator[ListLine]:
    """`told`: where a rule's remedy has been said in full, by rule and remedy; it is not said again."""
    kind = block.places[0][0]
    names = sorted((name for _, name in block.places), key=counting_order)
    word = kind if len(names) == 1 else plural(kind)
    word = _UPPER.get(kind, word.capitalize())
    yield from (ListLine(text, "bold") for text in filled(f"{word} {', '.join(names)}", width, "", "  "))
    for finding in _grouped(block.shown):
        shown = replace(finding, message=_with_others(finding, _others(finding, repeated)))
        first = told.setdefault((finding.rule, finding.remedy), here := f"{kind} {names[0]}")
        again = f"as at {first}." if first != here and len(finding.remedy) > _SHORT else ""
        yield from (ListLine(text, _style(finding)) for text in _finding(shown, again or finding.remedy, width))
    for words, rules in (("Fails too", block.following), ("Not evaluated until this is fixed", block.waiting)):
        text = f"{words}: {', '.join(rules)}." if rules else ""
        yield from (ListLine(part, "dim") for part in filled(text, width, "  ", "    "))


def _grouped(shown: Sequence[Finding]) -> Iterator[Finding]:
    """Conditions of one rule not evaluated, with one remedy or each for want of a fact, as one entry that lists them."""
    alike: dict[object, list[Finding]] = {}
    for f in shown:
        is_condition = f.is_open and f.verdict is Verdict.NOT_EVALUATED and bool(f.about)
        remedy = _FACT.pattern if _FACT.fullmatch(f.remedy) else f.remedy
        key = (f.rule, f.severity, remedy, _lead_of(f))
        alike.setdefault(key if is_condition else id(f), []).append(f)
    for same in alike.values():
        if len(same) == 1:
            yield same[0]
        else:
            facts = ", ".join(_FACT.findall(" ".join(dict.fromkeys(f.remedy for f in same))))
            remedy = f"State {facts} of this opening." if facts else same[0].remedy
            meanings = f" {_MEANINGS[same[0].rule]}" if same[0].rule in _MEANINGS else ""
            lead = "Not stated" if facts else _lead_of(same[0])
            named = ", ".join(f.about for f in same)
            # without words that all of them begin with, each keeps its own: it may hold a figure
            message = f"{lead}: {named}.{meanings}" if lead else " ".join(dict.fromkeys(f.message for f in same))
            yield replace(same[0], message=message, remedy=remedy)


def _lead_of(condition: Finding) -> str:
    """What a condition says before it names itself; empty where it does not."""
    lead, named, _ = condition.message.partition(f", {condition.about}: ")
    return lead if named else ""


def plural(kind: str) -> str:
    """Several things that findings are about.

    Examples:
        >>> plural("opening"), plural("supply")
        ('openings', 'supplies')
    """
    return {"supply": "supplies", "switch": "switches"}.get(kind, f"{kind}s")


def _style(finding: Finding) -> str:
    return "" if finding.is_open and finding.severity is not Severity.NOTE else "dim"


def _finding(finding: Finding, remedy: str, width: int) -> Iterator[str]:
    unknown = ", not evaluated" if finding.is_open and finding.verdict is Verdict.NOT_EVALUATED else ""
    yield from filled(f"{status(finding)}{unknown}, {finding.rule}: {finding.message}", width, "  ", "    ")
    if remedy:
        yield from filled(f"Fix: {remedy}", width, "    ", "    ")
    if finding.acceptance is not None:
        yield from filled(accepted_text(finding.acceptance), width, "    ", "    ")


def _life_safety_accepted(findings: Sequence[Finding], width: int, everything: bool) -> Iterator[ListLine]:
    """Accepted errors of life safety are never only counted."""
    grave = [f for f in findings if status(f) == ACCEPTED_LIFE_SAFETY]
    if grave and not everything:
        yield ListLine(f"{ACCEPTED_LIFE_SAFETY.upper()}S", "bold")
        for f in grave:
            by = accepted_text(f.acceptance) if f.acceptance else ""
            yield from (
                ListLine(t) for t in filled(f"{f.subject_kind} {f.subject}, {f.rule}: {by}", width, "  ", "    ")
            )


def summary(site: Site, findings: Sequence[Finding]) -> str:
    """The site with its openings, and how many findings there are of each status."""
    return f"{site.info.name}: {counted(len(site.openings), 'opening')}; {count_line(findings)}"


def count_line(findings: Sequence[Finding]) -> str:
    """`2 errors, 1 warning, 0 notes open; 1 accepted; 84 passed`, with errors of life safety that are accepted apart."""
    n: Mapping[str, int] = counts(findings)
    words = ", ".join(counted(n[s], s) for s in ("error", "warning", "note"))
    unknown = sum(f.is_open and f.verdict is Verdict.NOT_EVALUATED for f in findings)
    open_words = f"{words} open{f', {unknown} of them not evaluated' if unknown else ''}"
    grave = n[ACCEPTED_LIFE_SAFETY]
    graves = f"; {counted(grave, ACCEPTED_LIFE_SAFETY)}" if grave else ""
    return f"{open_words}{graves}; {n['accepted']} accepted; {n['pass']} passed"


def _not_shown(findings: Sequence[Finding], least: Severity) -> str:
    shown = _SEVERITIES.index(least)
    rules: dict[str, int] = {}
    for f in findings:
        if f.is_open and not f.causes and _SEVERITIES.index(f.severity) > shown:
            rules[f.rule] = rules.get(f.rule, 0) + 1
    if not rules:
        return ""
    what = ", ".join(f"{rule} ({n})" for rule, n in sorted(rules.items()))
    return f"Not listed (--severity note shows them): {what}."
