"""Labels of closets, their switches and ports. They follow from the site alone, wherever its cables go."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import count
from string import ascii_uppercase
from types import MappingProxyType

from riserkit.model.place import Closet
from riserkit.model.power import Switch
from riserkit.model.site import Site
from riserkit.network.labels.floors import LabelError, building_codes, floor_numbers
from riserkit.network.labels.ledger import Ledger
from riserkit.network.spots import building_of
from riserkit.standards.labels import format_port, format_space


@dataclass(frozen=True)
class EquipmentLabels:
    """Labels by closet id, by switch id and by `SWITCH:PORT`."""

    closet: Mapping[str, str]
    switch: Mapping[str, str]
    port: Mapping[str, str]


def label_equipment(site: Site, ledger: Ledger) -> EquipmentLabels:
    """Label all closets, switches and ports, entering them in the ledger.

    Raises:
        LabelError: a floor with more than 26 closets, or a building with more floors than two digits can number.
    """
    closets = _closets(site, ledger)
    switches = _switches(site, ledger, closets)
    ports: dict[str, str] = {}
    for switch in site.switches:
        ports |= _ports(ledger, switch, switches[switch.id])
    return EquipmentLabels(MappingProxyType(closets), MappingProxyType(switches), MappingProxyType(ports))


def port_subject(switch: str, port: int) -> str:
    """What a port's label is on.

    Examples:
        >>> port_subject("SW1", 7)
        'SW1:7'
    """
    return f"{switch}:{port}"


def formal(make: Callable[[], str], plain: str) -> str:
    """The label as the published grammar writes it, or `plain` when it builds on a label of the user's own making."""
    try:
        return make()
    except ValueError:
        return plain


def _closets(site: Site, ledger: Ledger) -> dict[str, str]:
    floors, codes = floor_numbers(site), building_codes(site)

    def space(closet: Closet, letter: str) -> str:
        return format_space(floors[closet.level], letter, codes[building_of(site, closet.level)])

    for closet in site.closets:
        if closet.letter:
            ledger.give("closet", closet.id, space(closet, closet.letter))
    found: dict[str, str] = {}
    for closet in site.closets:
        places = (space(closet, letter) for letter in ascii_uppercase)
        try:
            found[closet.id] = ledger.take("closet", closet.id, places)
        except StopIteration:
            floor = floors[closet.level]
            raise LabelError(
                f"closet {closet.id}: floor {floor} has more than the 26 closets that letters A to Z can name; "
                "give a part of its levels another floor number, or make it a building of its own"
            ) from None
    return found


def _switches(site: Site, ledger: Ledger, closets: Mapping[str, str]) -> dict[str, str]:
    for switch in site.switches:
        if switch.panel:
            ledger.give("switch", switch.id, _panel(closets[switch.closet], 1, switch.panel))
    return {
        switch.id: ledger.take("switch", switch.id, _panels(closets[switch.closet], switch)) for switch in site.switches
    }


def _panels(space: str, switch: Switch) -> Iterator[str]:
    if switch.panel:
        yield _panel(space, 1, switch.panel)
    for rack in count(1):
        for letter in ascii_uppercase:
            yield _panel(space, rack, letter)


def _panel(space: str, rack: int, letter: str) -> str:
    return f"{space}.R{rack}-{letter}"


def _ports(ledger: Ledger, switch: Switch, label: str) -> Iterator[tuple[str, str]]:
    space, _, rest = label.partition(".")
    rack, _, panel = rest.partition("-")

    def written(port: int) -> str:
        return formal(lambda: format_port(space, rack, panel, port), f"{label}:{port:02d}")

    for port in range(1, switch.ports + 1):
        # A port's own number is free unless the user gave its label away; then numbers go on past the last port.
        numbers = (n for start in ([port], count(switch.ports + 1)) for n in start)
        subject = port_subject(switch.id, port)
        yield subject, ledger.take("port", subject, map(written, numbers))
