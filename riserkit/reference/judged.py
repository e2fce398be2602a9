"""Which variants an arrangement serves, and why it cannot serve the others: judged by the same tests and rules as any door."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Final

from riserkit.checked import Checked
from riserkit.design import every_arrangement, wire_openings
from riserkit.errors import RiserkitError
from riserkit.findings import Severity, at_openings
from riserkit.kept import KeptWork
from riserkit.pipeline import Progress, no_progress, plugin_arrangements, work_out
from riserkit.plugin.manager import Plugins, installed_plugins
from riserkit.reference.doors import CONTROLLERS, ReferenceDoor, site_of
from riserkit.reference.variants import variants
from riserkit.wiring.arrangement import Arrangement
from riserkit.wiring.choose.choose import NOT_MEANT
from riserkit.wiring.values import DoorWiring

_OUTPUTS: Final = frozenset({"output-limit", "auxiliary-limit"})
_LETTERS: Final = "ABCDEFGHJKLMNPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class JudgedVariant:
    """A variant at one arrangement.

    Args:
        door: with the controller that suits best.
        why: why it cannot be, a sentence each; empty where it is sound.
        meant: False where the arrangement is for another kind of door altogether.
    """

    door: ReferenceDoor
    why: tuple[str, ...] = ()
    meant: bool = True

    @property
    def is_sound(self) -> bool:
        """Every test and rule is kept."""
        return not self.why


@dataclass(frozen=True)
class ReferenceSet:
    """All arrangements with all variants.

    Args:
        arrangements: the shipped ones, then those of plugins.
        judged: by arrangement in their order, the variants of each in theirs.
        checked: a site of the sound ones, checked.
    """

    arrangements: tuple[Arrangement, ...]
    judged: tuple[JudgedVariant, ...]
    checked: Checked

    def of(self, arrangement: Arrangement) -> tuple[JudgedVariant, ...]:
        """The variants of one arrangement."""
        return tuple(one for one in self.judged if one.door.arrangement == arrangement.name)


def reference_set(
    names: Sequence[str] = (), plugins: Plugins | None = None, progress: Progress = no_progress
) -> ReferenceSet:
    """Try every variant with every arrangement, and check what can be wired.

    Args:
        names: of the arrangements wanted; empty for all.
        plugins: those installed when left out.
        progress: told of every step.

    Raises:
        RiserkitError: there is no arrangement of such a name, or none serves any variant.
    """
    asked = plugins or installed_plugins()
    more = plugin_arrangements(asked)
    every = every_arrangement(more)
    unknown = [name for name in names if name not in {one.name for one in every}]
    if unknown:
        raise RiserkitError(f"no arrangement {', '.join(unknown)}; there are {', '.join(one.name for one in every)}")
    wanted = tuple(one for one in every if not names or one.name in names)
    progress("wiring", 0, 1)
    offers = offered(doors_tried(every, wanted), more)
    kept, judged = KeptWork(), {one.mark: one.judged for one in offers}
    open_marks = [one.mark for one in offers if one.suitable]
    checked: Checked | None = None
    for place in range(len(CONTROLLERS)):
        # a door that breaks a rule with one controller may keep it with the next
        now = {one.mark: one.suitable[place] for one in offers if one.mark in open_marks and place < len(one.suitable)}
        if not now:
            break
        checked = work_out(site_of(list(now.values())), asked, progress, kept)
        failing = rule_errors(checked)
        for mark, door in now.items():
            if mark not in failing:
                judged[mark] = JudgedVariant(door)
            elif place == 0:
                judged[mark] = JudgedVariant(door, failing[mark])
        open_marks = [mark for mark in now if mark in failing]
    sound = [one.door for one in judged.values() if one.is_sound]
    if checked is None or not sound:
        raise RiserkitError(
            f"{', '.join(one.name for one in wanted)}: no variant can be wired so that every rule is kept"
        )
    if len(sound) != len(checked.design.doors) or rule_errors(checked):
        checked = work_out(site_of(sound), asked, progress, kept)
    return ReferenceSet(wanted, tuple(judged.values()), checked)


@dataclass(frozen=True, slots=True)
class OfferedVariant:
    """A variant at one arrangement before rules are asked: as it is judged by its wiring, and all that can be wired."""

    judged: JudgedVariant
    suitable: tuple[ReferenceDoor, ...]

    @property
    def mark(self) -> str:
        """Of its opening."""
        return self.judged.door.mark


def doors_tried(every: Sequence[Arrangement], wanted: Sequence[Arrangement]) -> list[ReferenceDoor]:
    """Each variant once for each controller; a mark's letter is the arrangement's, whichever of them are wanted."""
    return [
        ReferenceDoor(f"{_letter(place)}{number}.{tried}", arrangement.name, variant, controller)
        for place, arrangement in enumerate(every)
        if arrangement in wanted
        for number, variant in enumerate(variants(), 1)
        for tried, controller in enumerate(CONTROLLERS)
    ]


def _letter(place: int) -> str:
    again, letter = divmod(place, len(_LETTERS))
    return _LETTERS[letter] * (again + 1)


def offered(doors: Sequence[ReferenceDoor], more: Sequence[Arrangement]) -> list[OfferedVariant]:
    """Each variant with the first controller that serves it, else with the one that comes closest."""
    site = site_of(doors)
    wirings = dict(zip([d.mark for d in doors], wire_openings(site, site.openings, more), strict=True))
    found = []
    for mark, group in groupby(doors, key=lambda door: door.mark.partition(".")[0]):
        tried = list(group)
        best = min(tried, key=lambda door: _misfit(wirings[door.mark]))
        why, meant = _why(wirings[best.mark])
        if why and meant:
            why = (*why, *_output_limits([door for door in tried if door is not best], wirings))
        suitable = tuple(replace(door, mark=mark) for door in tried if not _why(wirings[door.mark])[0])
        found.append(OfferedVariant(JudgedVariant(replace(best, mark=mark), why, meant), suitable))
    return found


def _misfit(wiring: DoorWiring) -> tuple[bool, int]:
    """Whether it cannot be wired at all, and how many tests it fails."""
    drawn = wiring.drawn
    if drawn is None:
        return True, 0
    return drawn.voltages is None, len(drawn.failed)


def _why(wiring: DoorWiring) -> tuple[tuple[str, ...], bool]:
    if wiring.chosen is not None and wiring.chosen.feasible:
        return (), True
    drawn = wiring.drawn
    if drawn is None or not drawn.failed:
        return (wiring.failure or f"not stated: {', '.join(wiring.missing)}",), False
    return tuple(reason.text for reason in drawn.failed), not NOT_MEANT & {reason.name for reason in drawn.failed}


def _output_limits(others: Sequence[ReferenceDoor], wirings: Mapping[str, DoorWiring]) -> tuple[str, ...]:
    """What an output of the other controllers would have to give, once for each limit."""
    said: dict[str, str] = {}
    for door in others:
        drawn = wirings[door.mark].drawn
        for reason in drawn.failed if drawn else ():
            if reason.name in _OUTPUTS and reason.limit is not None:
                said.setdefault(f"{reason.what} {reason.limit}", f"with {door.controller}: {reason.text}")
    return tuple(said.values())


def rule_errors(checked: Checked) -> Mapping[str, tuple[str, ...]]:
    """What rules say against each door, its cables among it, by mark."""
    mark_of = {cable.subject: cable.mark for cable in checked.design.pathway_cables if cable.mark}
    found: dict[str, list[str]] = {}
    for finding in at_openings(checked.findings):
        mark = mark_of.get(finding.subject, finding.subject)
        if finding.is_open and finding.severity is Severity.ERROR and mark in checked.design.door:
            found.setdefault(mark, []).append(f"{finding.message} {finding.remedy}".strip() + f" ({finding.rule})")
    return {mark: tuple(dict.fromkeys(words)) for mark, words in found.items()}
