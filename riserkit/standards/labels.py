"""Identifiers for administration of cabling: their grammar, written and read.

| what | example |
|---|---|
| telecommunications space: floor, room letter | `1A` |
| the same on a campus: building first | `B1-1A` |
| rack, panel, port in a space | `1A.R1-A:01` |
| horizontal link: space, panel letter, port | `1A-A47` |
| backbone cable between two spaces, by number | `1A/2A-1` |
| pair or strand of it | `1A/2A-1.3` |
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from riserkit.standards.source import Source

GRAMMAR: Final = Source("TIA-606", "D", "identifier format", "from memory")

_SPACE: Final = r"(?:[A-Z][A-Z0-9]{0,3}-)?\d{1,2}[A-Z]"
SPACE_PATTERN: Final = re.compile(
    r"^(?:(?P<building>[A-Z][A-Z0-9]{0,3})-)?(?P<floor>\d{1,2})(?P<room>[A-Z])$", re.ASCII
)
PORT_PATTERN: Final = re.compile(
    rf"^(?P<space>{_SPACE})\.(?P<rack>[A-Z0-9]+)-(?P<panel>[A-Z0-9]+):(?P<port>\d{{2,3}})$", re.ASCII
)
LINK_PATTERN: Final = re.compile(rf"^(?P<space>{_SPACE})-(?P<panel>[A-Z])(?P<port>\d{{2,3}})$", re.ASCII)
BACKBONE_PATTERN: Final = re.compile(
    rf"^(?P<first>{_SPACE})/(?P<second>{_SPACE})-(?P<number>\d{{1,3}})(?:\.(?P<strand>\d{{1,4}}))?$", re.ASCII
)

_FLOOR_MAX: Final = 99
_PORT_MAX: Final = 999


@dataclass(frozen=True, slots=True, order=True)
class SpaceLabel:
    """A telecommunications space: floor number, room letter, and the building's code on a campus."""

    building: str
    floor: int
    room: str

    def __str__(self) -> str:
        """`1A` or `B1-1A`."""
        return f"{self.building}-{self.floor}{self.room}" if self.building else f"{self.floor}{self.room}"


@dataclass(frozen=True, slots=True, order=True)
class PortLabel:
    """A port of a panel in a rack of a space."""

    space: SpaceLabel
    rack: str
    panel: str
    port: int

    def __str__(self) -> str:
        """`1A.R1-A:01`."""
        return f"{self.space}.{self.rack}-{self.panel}:{self.port:02d}"


@dataclass(frozen=True, slots=True, order=True)
class LinkLabel:
    """A horizontal link, named after the panel position that it ends at in the space."""

    space: SpaceLabel
    panel: str
    port: int

    def __str__(self) -> str:
        """`1A-A47`."""
        return f"{self.space}-{self.panel}{self.port:02d}"


@dataclass(frozen=True, slots=True, order=True)
class BackboneLabel:
    """A backbone cable between two spaces; `strand` is a pair or fibre of it, 0 for the cable itself."""

    first: SpaceLabel
    second: SpaceLabel
    number: int
    strand: int = 0

    def __str__(self) -> str:
        """`1A/2A-1` or `1A/2A-1.3`."""
        return f"{self.first}/{self.second}-{self.number}" + (f".{self.strand}" if self.strand else "")


def format_space(floor: int, room: str, building: str = "") -> str:
    """The label of a telecommunications space.

    Raises:
        ValueError: a floor outside 0 to 99, a room that is not one capital letter, or a building code that does not
            begin with a letter.

    Examples:
        >>> format_space(1, "A"), format_space(12, "B", "B1")
        ('1A', 'B1-12B')
    """
    if not 0 <= floor <= _FLOOR_MAX:
        raise ValueError(f"floor {floor}; expected 0 to {_FLOOR_MAX} (number basements upward from 0 or 1)")
    return str(parse_space(str(SpaceLabel(building, floor, room))))


def format_port(space: str, rack: str, panel: str, port: int) -> str:
    """The label of a panel port.

    Raises:
        ValueError: a space or part that the grammar does not know.

    Examples:
        >>> format_port("1A", "R1", "A", 1)
        '1A.R1-A:01'
    """
    return str(parse_port(str(PortLabel(parse_space(space), rack, panel, _port(port)))))


def format_horizontal_link(space: str, panel: str, port: int) -> str:
    """The label of a horizontal link.

    Raises:
        ValueError: a space or part that the grammar does not know.

    Examples:
        >>> format_horizontal_link("1A", "A", 47), format_horizontal_link("B1-1A", "B", 3)
        ('1A-A47', 'B1-1A-B03')
    """
    return str(parse_horizontal_link(str(LinkLabel(parse_space(space), panel, _port(port)))))


def format_backbone(space_a: str, space_b: str, number: int, strand: int = 0) -> str:
    """The label of a backbone cable, its spaces in order of building, floor and room, whichever is given first.

    Args:
        space_a: one end.
        space_b: the other end.
        number: which of the cables between the two, from 1.
        strand: pair or fibre of it, from 1; 0 for the cable itself.

    Raises:
        ValueError: both ends in one space, or a part that the grammar does not know.

    Examples:
        >>> format_backbone("2A", "1A", 1), format_backbone("B1-1A", "B2-1A", 1, 7)
        ('1A/2A-1', 'B1-1A/B2-1A-1.7')
    """
    first, second = sorted((parse_space(space_a), parse_space(space_b)))
    return str(parse_backbone(str(BackboneLabel(first, second, number, strand))))


def parse_space(text: str) -> SpaceLabel:
    """Read `1A` or `B1-1A`; ValueError with the expected form otherwise."""
    match = _match(SPACE_PATTERN, text, "a space such as 1A or B1-1A")
    return SpaceLabel(match["building"] or "", int(match["floor"]), match["room"])


def parse_port(text: str) -> PortLabel:
    """Read `1A.R1-A:01`; ValueError with the expected form otherwise."""
    match = _match(PORT_PATTERN, text, "a panel port such as 1A.R1-A:01")
    return PortLabel(parse_space(match["space"]), match["rack"], match["panel"], _port(int(match["port"])))


def parse_horizontal_link(text: str) -> LinkLabel:
    """Read `1A-A47`; ValueError with the expected form otherwise."""
    match = _match(LINK_PATTERN, text, "a horizontal link such as 1A-A47")
    return LinkLabel(parse_space(match["space"]), match["panel"], _port(int(match["port"])))


def parse_backbone(text: str) -> BackboneLabel:
    """Read `1A/2A-1` or `1A/2A-1.3`; ValueError with the expected form otherwise."""
    match = _match(BACKBONE_PATTERN, text, "a backbone cable such as 1A/2A-1")
    first, second = parse_space(match["first"]), parse_space(match["second"])
    if first == second:
        raise ValueError(f"{text!r} ends where it begins; expected two different spaces")
    number, strand = int(match["number"]), int(match["strand"] or -1)
    if number == 0 or strand == 0:
        raise ValueError(f"{text!r} counts from 0; cables and strands are numbered from 1")
    return BackboneLabel(first, second, number, max(strand, 0))


def _match(pattern: re.Pattern[str], text: str, expected: str) -> re.Match[str]:
    match = pattern.fullmatch(text)
    if match is None:
        raise ValueError(f"{text!r} is not {expected}")
    return match


def _port(port: int) -> int:
    if not 1 <= port <= _PORT_MAX:
        raise ValueError(f"port {port}; expected 1 to {_PORT_MAX}")
    return port
