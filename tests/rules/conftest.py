"""Frozen designs built by hand, and the one runner of every rule's cases."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import numpy as np
import pytest

from riserkit.circuits.netlist import Cable, Component, Conductor, Element, ElementKind, Landing, Netlist, Terminal
from riserkit.design import Design, DoorDesign
from riserkit.findings import Finding, Verdict
from riserkit.model import catalogue
from riserkit.model.cabling import CableType, LengthBasis, PathwaySegment
from riserkit.model.info import SiteInfo
from riserkit.model.opening import Opening
from riserkit.model.place import Closet, Level
from riserkit.model.power import Supply, Switch
from riserkit.model.records import Acceptance
from riserkit.model.site import Site
from riserkit.network.values import CableRun, Labels, Placement, Route
from riserkit.rules._shared.evaluate import check
from riserkit.rules._shared.shipped import SHIPPED_RULES
from riserkit.standards.copper import resistance_per_m_20c_ohm
from riserkit.wiring.arrangement import DoorCircuit
from riserkit.wiring.data_power import PoweredLink
from riserkit.wiring.reason import Reason
from riserkit.wiring.roles import DeviceRole, ElementRole
from riserkit.wiring.values import Candidate, DoorVoltages, DoorWiring

Spec = Mapping[str, Any]


class FixedRouter:
    """Routes as a table, in place of a way over pathways."""

    def __init__(self, routes: Mapping[tuple[str, str], Route], marks: Sequence[str]) -> None:
        self._routes, self._marks = routes, marks

    def route(self, closet: str, mark: str) -> Route | None:
        return self._routes.get((closet, mark))

    def lengths_m(self, closet: str) -> np.ndarray:
        routes = [self._routes.get((closet, mark)) for mark in self._marks]
        return np.array([route.length_m if route else np.inf for route in routes])


def route_of(from_id: str, to_id: str, spec: Spec) -> Route | None:
    length_m = spec.get("length_m", 50.0)
    if length_m is None:
        return None
    basis = LengthBasis(spec.get("basis", "routed"))
    return Route(from_id, to_id, length_m, basis, segments=tuple(spec.get("segments", ())))


def circuit_of(spec: Spec) -> DoorCircuit:
    """A source, locks each on its own cable, and with `feed_m` a feed cable before them; `feed_part` is the source."""
    gauge, locks = spec.get("gauge", "18 AWG"), spec.get("locks", 1)
    cables, conductors, components = [], [], []

    def cable(role: str, length_m: float, ends: tuple[tuple[str, str], tuple[str, str]]) -> None:
        ref = f"W{len(cables) + 1}"
        cables.append(Cable(ref, "18-2", length_m, "estimated", ("BK", "RD"), gauge, role=role))
        for (a, a_terminal), (b, b_terminal) in (ends, tuple((x, "-") for x, _ in ends)):
            r20_ohm = resistance_per_m_20c_ohm(gauge) * length_m
            landings = Landing(a, a_terminal), Landing(b, b_terminal)
            conductors.append(Conductor(str(len(conductors) + 1), *landings, "RD", gauge, r20_ohm, ref))

    terminals = (Terminal("+"), Terminal("-"))
    source = ()
    if "source_v" in spec:
        source = (Element("output", ElementKind.SOURCE, "+", "-", {"v_low_v": spec["source_v"]}),)
    components.append(Component("G1", "source", terminals, source, part=spec.get("feed_part", "")))
    if spec.get("feed_m"):
        components.append(Component("X1", "junction", terminals))
        cable("feed", spec["feed_m"], (("G1", "+"), ("X1", "+")))
    for number in range(1, locks + 1):
        coil = Element(
            "coil", ElementKind.COIL, "+", "-", {"r_ohm": spec.get("lock_ohm", 24.0)}, role=ElementRole.LOCK_COIL
        )
        components.append(Component(f"M{number}", "lock", terminals, (coil,), role=DeviceRole.LOCK))
        cable("lock", spec.get("lock_m", 20.0), (("G1", "+"), (f"M{number}", "+")))
    netlist = Netlist(tuple(components), tuple(cables), tuple(conductors), (), "G1.-")
    refs = tuple(f"M{number}" for number in range(1, locks + 1))
    supply = "G1.output" if spec.get("feed_part") or source else ""
    return DoorCircuit(netlist, {}, {}, refs, fail_safe=True, supply=supply)


def candidate_of(spec: Spec) -> Candidate:
    reasons = tuple(Reason(*row) for row in spec.get("reasons", ()))
    name = spec.get("arrangement", "direct")
    at = spec.get("supply_at", "PoE cable")
    return Candidate(name, name, spec.get("lock_cable", "18-2"), at, spec.get("cost", 1.0), reasons, DoorVoltages())


def wiring_of(mark: str, spec: Spec, volts: Spec) -> DoorWiring:
    chosen = spec.get("chosen", {})
    candidates = [candidate_of(c) for c in spec.get("considered", ())]
    nearest = spec.get("nearest")
    circuit = spec.get("circuit", {})
    return DoorWiring(
        mark=mark,
        chosen=None if chosen is None else candidate_of(chosen),
        considered=(*candidates, *([] if chosen is None else [candidate_of(chosen)])),
        voltages=DoorVoltages(**({"lock_low_v": 11.5, "lock_high_v": 12.5, "lock_a": 0.25} | dict(volts))),
        build=None if circuit is None else lambda: circuit_of(circuit),
        nearest=None if nearest is None else candidate_of(nearest),
        forced=spec.get("forced", False),
        missing=tuple(spec.get("missing", ())),
    )


LINK = {
    "poe_class": 4, "device_class": 4, "length_m": 60.0, "loop_ohm": 5.0, "temperature_c": 40.0, "pse_min_v": 50.0,
    "pse_max_w": 30.0, "pd_need_w": 10.0, "pd_v": 49.0, "current_a": 0.2, "pse_w": 10.2, "pd_limit_w": 25.5,
}  # fmt: skip
OPENING = {
    "level": "L1", "x_m": 10.0, "y_m": 0.0, "lock": "strike-12-secure", "controller": "controller-c4",
    "fail_mode": "fail-secure", "egress": "none",
}  # fmt: skip
SWITCH = {"id": "SW1", "closet": "C1", "ports": 24, "poe_class": 4, "poe_budget_w": 370.0, "on_ups": True}


def door_of(number: int, spec: Spec) -> DoorDesign:
    mark = spec.get("mark", str(101 + number))
    stated = {"mark": mark, **OPENING, **spec.get("opening", {})}
    opening = Opening.model_validate({name: value for name, value in stated.items() if value != ""})
    closet = spec.get("closet", "C1")
    placement = Placement(
        mark, closet, spec.get("switch", "SW1"), spec.get("port", number + 1), spec.get("poe_class", 4)
    )
    cable = CableRun(mark, "horizontal", closet, mark, spec.get("cable", "cat6"), mark, route_of(closet, mark, spec))
    link = spec.get("link", {})
    return DoorDesign(
        opening=opening,
        placement=placement if spec.get("placed", True) else None,
        cable=cable if spec.get("placed", True) else None,
        link=None if link is None else PoweredLink(**{**LINK, **link}),
        wiring=wiring_of(mark, spec.get("wiring", {}), spec.get("volts", {})),
    )


def build_design(spec: Spec) -> Design:
    """A design of the doors, switches and so on of `spec`; two closets C1 and C2, a switch in each, where it says none."""
    doors = tuple(door_of(number, door) for number, door in enumerate(spec.get("doors", ({},))))
    closets = spec.get("closets", ({"id": "C1"}, {"id": "C2", "x_m": 40.0}))
    switches = spec.get("switches", ({}, {"id": "SW2", "closet": "C2"}))
    own_parts, own_cables = spec.get("parts", ()), tuple(CableType(**c) for c in spec.get("cable_types", ()))
    site = Site(
        info=SiteInfo(**spec.get("info", {})),
        levels=(Level(id="L1", elevation_m=0.0),),
        closets=tuple(Closet(**{"level": "L1", "x_m": 0.0, "y_m": 0.0, **c}) for c in closets),
        switches=tuple(Switch(**{**SWITCH, **s}) for s in switches),
        supplies=tuple(Supply(**s) for s in spec.get("supplies", ())),
        pathway_segments=tuple(PathwaySegment(**s) for s in spec.get("segments", ())),
        cable_types=own_cables + tuple(c for c in catalogue.CABLE_TYPES if c.id not in {o.id for o in own_cables}),
        parts=own_parts + tuple(p for p in catalogue.PARTS if p.id not in {o.id for o in own_parts}),
        openings=tuple(door.opening for door in doors),
        acceptances=tuple(Acceptance(**a) for a in spec.get("acceptances", ())),
    )
    routes = {(c, m): Route(c, m, length_m, LengthBasis.ROUTED) for (c, m), length_m in spec.get("routes", {}).items()}
    backbone = tuple(
        CableRun(f"{b['from_id']}>{b['to_id']}", "backbone", b["from_id"], b["to_id"], b.get("cable", "om4-12"), "",
                 route_of(b["from_id"], b["to_id"], b))
        for b in spec.get("backbone", ())
    )  # fmt: skip
    labels = {
        "closet": {},
        "switch": {},
        "port": {},
        "cable": {},
        "opening": {},
        "issued": (),
        **spec.get("labels", {}),
    }
    router = FixedRouter(routes, [door.mark for door in doors])
    return Design(site, router, doors, backbone, Labels(**labels))


@pytest.fixture
def build() -> Callable[[Spec], Design]:
    return build_design


@pytest.fixture
def findings_of() -> Callable[[str, Spec], list[Finding]]:
    """Every finding of one rule on a design, in the order of `check`."""

    def run(rule: str, spec: Spec) -> list[Finding]:
        return [finding for finding in check(build_design(spec)) if finding.rule == rule]

    return run


@pytest.fixture
def judge() -> Callable[[str, Spec, Spec], None]:
    """Run one rule on a design and compare its one finding of a subject with what the case expects.

    `expected` has `verdict`, and of the finding's own fields those that matter; `remedy` and `message` have to stand in the
    text. `subject` picks the finding (101 when left out), `about` a part of its message where the subject has several.
    """

    def run(rule_name: str, spec: Spec, expected: Spec) -> None:
        rule = next(rule for rule in SHIPPED_RULES if rule.name == rule_name)
        subject, about = expected.get("subject", "101"), expected.get("about", "")
        found = [f for f in rule.evaluate(build_design(spec)) if f.subject == subject and about in f.message]
        assert len(found) == 1, f"expected one finding of {subject}, got {found}"
        _compare(found[0], expected)

    return run


def _compare(finding: Finding, expected: Spec) -> None:
    assert finding.verdict == expected["verdict"], finding
    for name in ("value", "limit", "margin"):
        if name in expected:
            assert getattr(finding, name) == pytest.approx(expected[name], rel=1e-9, abs=1e-12), finding
    severity = {"fail": "error", "not evaluated": "warning"}.get(expected["verdict"], finding.severity)
    assert finding.severity == expected.get("severity", severity), finding
    assert finding.source, "every finding names its source"
    for name in ("subject_kind", "unit"):
        assert getattr(finding, name) == expected.get(name, getattr(finding, name)), finding
    for name in ("message", "remedy", "source"):
        assert expected.get(name, "") in getattr(finding, name), getattr(finding, name)
    assert expected.get("not_in_remedy", "\0") not in finding.remedy, finding.remedy
    if finding.verdict is Verdict.PASS:
        assert finding.remedy == ""
    else:
        assert finding.remedy, "a verdict that is no pass says what to do"
