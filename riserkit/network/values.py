"""What the network stage yields: routes with how their length is known, placements on ports, cables with labels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from riserkit.model.cabling import LengthBasis
from riserkit.model.records import IssuedLabel


@dataclass(frozen=True, slots=True)
class Route:
    """The way of one cable.

    Args:
        from_id: closet id.
        to_id: opening mark or closet id.
        length_m: installed cable, permanent link without cords: path + drops + slack, or as stated or measured.
        basis: how the length is known.
        path_m: along pathways (0 when estimated without any).
        drop_m: between pathway and the two ends; the whole estimate when there is no pathway.
        off_pathway_m: of the drops, what lies beside the pathways in plan, on a way that nobody drew; of an estimate without
            pathways the whole of it.
        slack_m: slack and service loops at both ends; 0 when the length is stated or measured, which includes it.
        segments: ids of the pathway segments used, in order from `from_id`.
        points: (x_m, y_m, level id) of the way; left empty, as `Router.points` works them out for the plans that ask.
    """

    from_id: str
    to_id: str
    length_m: float
    basis: LengthBasis
    path_m: float = 0.0
    drop_m: float = 0.0
    slack_m: float = 0.0
    segments: tuple[str, ...] = ()
    points: tuple[tuple[float, float, str], ...] = ()
    off_pathway_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Placement:
    """Where an opening's cable lands. `switch` is empty and `port` 0 when no free port was found in its closet."""

    mark: str
    closet: str
    switch: str
    port: int
    poe_class: int


@dataclass(frozen=True, slots=True)
class CableRun:
    """One horizontal or backbone cable.

    `subject` is its identity across builds: `MARK` for a horizontal cable, `CLOSET>CLOSET` for a backbone.
    `run_id` is the id of
    the user's run record, if any. `route` is None when there is no way between its ends.
    """

    subject: str
    kind: str
    from_id: str
    to_id: str
    cable_type: str
    label: str
    route: Route | None
    run_id: str = ""


@dataclass(frozen=True, slots=True)
class Labels:
    """Every label of the site by kind and subject, after the published TIA-606 scheme.

    Subjects: closet id; switch id; `SWITCH:PORT` for a port; `CableRun.subject` for a cable; mark for an
    opening. `issued` is the record to
    be kept, so that the next build issues the same; `clashes` are labels given twice (label, subjects).
    """

    closet: Mapping[str, str]
    switch: Mapping[str, str]
    port: Mapping[str, str]
    cable: Mapping[str, str]
    opening: Mapping[str, str]
    issued: tuple[IssuedLabel, ...]
    clashes: tuple[tuple[str, tuple[str, ...]], ...] = ()
    overruled: tuple[tuple[str, str, str], ...] = ()

    def closet_of(self, closet: str) -> str:
        """A closet as it is labelled; its id where it has no label."""
        return self.closet.get(closet, closet)

    def switch_of(self, switch: str) -> str:
        """A switch as it is labelled; its id where it has no label."""
        return self.switch.get(switch, switch)

    def opening_of(self, mark: str) -> str:
        """An opening as it is labelled; its mark where it has no label."""
        return self.opening.get(mark, mark)

    def port_of(self, placement: Placement | None) -> str:
        """The label of the port where a cable lands; empty without one."""
        return self.port.get(f"{placement.switch}:{placement.port}", "") if placement else ""
