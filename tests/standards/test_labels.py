"""Identifiers written and read back."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riserkit.standards import labels

SPACES = st.builds(
    labels.SpaceLabel,
    st.sampled_from(["", "B1", "N", "HQ22"]),
    st.integers(0, 99),
    st.sampled_from("ABCXYZ"),
)
PARTS = st.text("ABR019", min_size=1, max_size=4)


@given(SPACES)
def test_space_reads_back(space: labels.SpaceLabel) -> None:
    assert labels.parse_space(str(space)) == space


@given(SPACES, PARTS, PARTS, st.integers(1, 999))
def test_port_reads_back(space: labels.SpaceLabel, rack: str, panel: str, port: int) -> None:
    text = labels.format_port(str(space), rack, panel, port)
    assert labels.parse_port(text) == labels.PortLabel(space, rack, panel, port)


@given(SPACES, st.sampled_from("ABZ"), st.integers(1, 999))
def test_link_reads_back_and_is_no_other_kind(space: labels.SpaceLabel, panel: str, port: int) -> None:
    text = labels.format_horizontal_link(str(space), panel, port)
    assert labels.parse_horizontal_link(text) == labels.LinkLabel(space, panel, port)
    for parse in (labels.parse_space, labels.parse_port, labels.parse_backbone):
        with pytest.raises(ValueError, match="is not"):
            parse(text)


@given(SPACES, SPACES, st.integers(1, 99), st.integers(0, 288))
def test_backbone_reads_back_and_ignores_direction(
    first: labels.SpaceLabel, second: labels.SpaceLabel, number: int, strand: int
) -> None:
    if first == second:
        with pytest.raises(ValueError, match="two different spaces"):
            labels.format_backbone(str(first), str(second), number, strand)
        return
    text = labels.format_backbone(str(first), str(second), number, strand)
    assert text == labels.format_backbone(str(second), str(first), number, strand)
    low, high = sorted((first, second))
    assert labels.parse_backbone(text) == labels.BackboneLabel(low, high, number, strand)


def test_floors_sort_as_numbers() -> None:
    assert labels.format_backbone("10A", "2A", 1) == "2A/10A-1"


@pytest.mark.parametrize(
    ("parse", "text"),
    [
        (labels.parse_space, "A1"),
        (labels.parse_space, "1a"),
        (labels.parse_space, "123A"),
        (labels.parse_space, "1A\n"),
        (labels.parse_space, "1B-1A"),
        (labels.parse_space, "١A"),
        (labels.parse_port, "1A.R1-A:1"),
        (labels.parse_port, "1A.R1-A:00"),
        (labels.parse_horizontal_link, "1A-A7"),
        (labels.parse_horizontal_link, "1A-47"),
        (labels.parse_horizontal_link, "1A-A00"),
        (labels.parse_backbone, "1A/1A-1"),
        (labels.parse_backbone, "1A/2A"),
        (labels.parse_backbone, "1A/2A-0"),
        (labels.parse_backbone, "1A/2A-1.0"),
        (labels.parse_backbone, "1A/2A-00"),
        (labels.parse_backbone, "1A/2A-1.00"),
    ],
)
def test_what_the_grammar_does_not_know_is_refused(parse: Callable[[str], object], text: str) -> None:
    with pytest.raises(ValueError, match=r"expected|is not|numbered"):
        parse(text)


@pytest.mark.parametrize(("floor", "room", "building"), [(-1, "A", ""), (100, "A", ""), (1, "AA", ""), (1, "A", "1B")])
def test_spaces_outside_the_grammar_are_not_written(floor: int, room: str, building: str) -> None:
    with pytest.raises(ValueError, match=r"expected|is not"):
        labels.format_space(floor, room, building)


@pytest.mark.parametrize("port", [0, -1, 1000])
def test_ports_count_from_one(port: int) -> None:
    with pytest.raises(ValueError, match=r"expected 1 to 999"):
        labels.format_horizontal_link("1A", "A", port)
