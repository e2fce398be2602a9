"""States, faults and tamper acts: on circuits whose answer is known, against plain reachability, against ngspice."""

from __future__ import annotations

import random
from dataclasses import replace

import networkx as nx
import numpy as np
import pytest

from riserkit.circuits.cases import Cases, SourceLevel, state_table
from riserkit.circuits.circuit import Circuit, circuit_of
from riserkit.circuits.errors import CircuitError, CircuitValueError, UnknownControlError, UnknownNodeError
from riserkit.circuits.faults import Fault, FaultKind, effects_of, single_faults, tamper_acts
from riserkit.circuits.kept_cases import EITHER, POWERED, RELEASED
from riserkit.circuits.netlist import ElementKind, Netlist
from riserkit.circuits.solve import solve_cases
from riserkit.circuits.states import all_states, outside_names
from riserkit.circuits.study import StudyCondition, study, study_at
from tests.balance import dissipated_w, kcl_residual_a, supplied_w

HELD = {"G1.mains": True}


def alone(fault: Fault) -> tuple[tuple[Fault, ...], ...]:
    return ((), (fault,))


def test_all_states_are_all_of_them(magnet):
    names = outside_names(magnet())
    states = all_states(names, {"G1.mains": True})
    assert len(states) == 2 ** (len(names) - 1)
    assert len({tuple(sorted(state.items())) for state in states}) == len(states)
    assert all(state["G1.mains"] for state in states)
    with pytest.raises(CircuitError, match="131072 states"):
        all_states([f"s{k}" for k in range(17)])


def test_fault_list_is_complete(magnet):
    """15 open, 15 to earth, pairs by cable 4 x 1 + 1 + 6 + ..., 6 contacts both ways, one supply."""
    net = magnet()
    faults = single_faults(net)
    by_kind = {kind: [f for f in faults if f.kind is kind] for kind in FaultKind}
    contacts = [e for c in net.components for e in c.elements if e.kind is ElementKind.CONTACT]
    cables: dict[str, int] = {}
    for conductor in net.conductors:
        cables[conductor.cable] = cables.get(conductor.cable, 0) + 1
    assert len(by_kind[FaultKind.CONDUCTOR_OPEN]) == len(net.conductors) == 15
    assert len(by_kind[FaultKind.CONDUCTOR_EARTHED]) == 15
    assert len(by_kind[FaultKind.CONDUCTORS_SHORTED]) == sum(n * (n - 1) // 2 for n in cables.values())
    assert len(by_kind[FaultKind.CONTACT_WELDED]) == len(by_kind[FaultKind.CONTACT_OPEN]) == len(contacts)
    assert len(by_kind[FaultKind.SUPPLY_DEAD]) == 1
    assert len(set(faults)) == len(faults)


@pytest.mark.parametrize(
    ("fault", "pressed", "stands"),
    [
        (Fault(FaultKind.CONDUCTOR_OPEN, ("W5.7",)), False, RELEASED),
        (Fault(FaultKind.SUPPLY_DEAD, ("G1.supply",)), False, RELEASED),
        (Fault(FaultKind.CONTACT_OPEN, ("F1.contact",)), False, RELEASED),
        (Fault(FaultKind.CONTACT_WELDED, ("S3.contact",)), True, POWERED),
        (Fault(FaultKind.CONTACT_WELDED, ("F1.contact",)), True, RELEASED),
        (Fault(FaultKind.CONDUCTORS_SHORTED, ("W5.7", "W4.6"), ("S3.2", "S3.1")), True, POWERED),
        (Fault(FaultKind.CONDUCTOR_EARTHED, ("W4.6",), ("K2.NC", "G1.-")), False, RELEASED),
        (Fault(FaultKind.CONDUCTOR_OPEN, ("W6.10",)), False, POWERED),
    ],
)
def test_faults_of_a_held_magnet(magnet, fault, pressed, stands):
    state = {**HELD, "S3.pressed": pressed}
    result = study(magnet(), [state], alone(fault))
    assert result.coil_states("Y1.coil")[:, 0].tolist() == [RELEASED if pressed else POWERED, stands]


@pytest.mark.parametrize(
    ("kind", "contact", "commanded", "stands"),
    [
        (FaultKind.CONTACT_WELDED, "K2.nc", True, POWERED),
        (FaultKind.CONTACT_OPEN, "K2.nc", False, RELEASED),
        (FaultKind.CONTACT_OPEN, "K2.no", False, POWERED),
    ],
)
def test_stuck_relay_contact_does_not_follow_its_coil(magnet, kind, contact, commanded, stands):
    result = study(magnet(), [{**HELD, "K1.output": commanded}], alone(Fault(kind, (contact,))))
    assert result.coil_states("K2.coil")[1, 0] == (POWERED if commanded else RELEASED)
    assert result.coil_states("Y1.coil")[:, 0].tolist() == [RELEASED if commanded else POWERED, stands]


@pytest.mark.parametrize(("first", "second"), [("N.0", "N.1"), ("N.1", "N.0")])
@pytest.mark.parametrize("volt", [12.0, -12.0])
def test_foreign_source_has_its_plus_where_it_says(make, first, second, volt):
    """Behind a diode only plus on node 1 reaches the coil, in whichever order the nodes are named."""
    net = make.board(
        "0 1 2",
        make.element("d", "diode 1 2", v_forward_v=0.7, r_on_ohm=0.1),
        make.element("c", "coil 2 0", r_ohm=100.0, v_pull_in_v=8.0, v_drop_out_v=2.0),
    )
    result = study(net, [{}], [(Fault(FaultKind.FED, (first, second), (first, second), volt),)])
    plus_at_1 = (first == "N.1") == (volt > 0.0)
    assert result.coil_states("N.c").tolist() == [[POWERED if plus_at_1 else RELEASED]]
    assert result.coil_v[0, 0, 0] == pytest.approx(11.3 * 100.0 / 100.2 if plus_at_1 else 0.0)


def test_conductor_landed_on_earth_is_earthed_at_its_other_end(make):
    parts = (
        make.component("G", "+ -", make.element("s", "source + -", v_nominal_v=12.0, r_ohm=1.0)),
        make.component("Y", "+ -", make.element("c", "coil + -", r_ohm=100.0, v_pull_in_v=8.0, v_drop_out_v=2.0)),
    )
    wires = (make.conductor("1", "G.+", "Y.+", 1.0), make.conductor("2", "G.-", "Y.-", 1.0))
    earths = [
        f.join for f in single_faults(Netlist(parts, (), wires, (), "G.-")) if f.kind is FaultKind.CONDUCTOR_EARTHED
    ]
    assert earths == [("G.+", "G.-"), ("Y.-", "G.-")]


def test_watched_inputs(magnet):
    """The door input carries current while the contact is closed; an open return takes it away."""
    fault = Fault(FaultKind.CONDUCTOR_OPEN, ("W6.11",))
    result = study(magnet(), [HELD, {**HELD, "S1.open": True}], alone(fault), ["S1.contact"])
    current_a = np.abs(result.current_a("S1.contact"))
    assert current_a[0, 0] > 4e-3
    assert current_a[0, 1] == 0.0
    assert current_a[1].max() < 1e-12


def test_between_drop_out_and_pull_in_is_either(make):
    net = make.board(
        "0 1",
        make.element("s", "source 1 0", v_nominal_v=5.0, r_ohm=0.0),
        make.element("c", "coil 1 0", r_ohm=100.0, v_pull_in_v=8.0, v_drop_out_v=2.0),
        make.element("u", "coil 1 0", r_ohm=100.0),
    )
    result = study(net, [{}])
    assert result.coil_states("N.c").tolist() == [[EITHER]]
    assert result.coil_states("N.u").tolist() == [[EITHER]]


def test_oscillation_is_marked_not_raised(make):
    """Only the coil that moves is undecided; one that stays powered or dead throughout is told so."""
    net = make.board(
        "0 1 2",
        make.element("s", "source 1 0", "on", v_nominal_v=12.0, r_ohm=0.1),
        make.element("nc", "contact 1 2", "N.c", True, r_closed_ohm=0.1),
        make.element("c", "coil 2 0", r_ohm=100.0, v_pull_in_v=8.0, v_drop_out_v=2.0),
        make.element("far", "coil 1 0", r_ohm=100.0, v_pull_in_v=8.0, v_drop_out_v=2.0),
        make.element("dead", "coil 0 0", r_ohm=100.0, v_pull_in_v=8.0, v_drop_out_v=2.0),
    )
    result = study(net, [{}, {"on": True}])
    assert result.unsettled.tolist() == [[False, True]]
    assert result.coil_states("N.c").tolist() == [[RELEASED, EITHER]]
    assert result.coil_states("N.far").tolist() == [[RELEASED, POWERED]]
    assert result.coil_states("N.dead").tolist() == [[RELEASED, RELEASED]]


def test_voltage_trigger_within_reach_is_found(magnet):
    """Feeding the relay's trigger wires releases the magnet, either way round; nothing else alone does."""
    net = magnet()
    acts = tamper_acts(net, ["K1.L+", "K1.L-"], [], at_once=1)
    result = study(net, [HELD], acts)
    released = [acts[k][0] for k in np.flatnonzero(result.coil_states("Y1.coil")[:, 0] == RELEASED)]
    assert {(act.kind, act.foreign_v) for act in released} == {(FaultKind.FED, v) for v in (12.0, -12.0, 24.0, -24.0)}
    assert str(released[0]) == "K1.L+ and K1.L-: fed with 12 V, plus at K1.L+"


def test_input_wires_within_reach_open_nothing(magnet):
    net = magnet()
    acts = tamper_acts(net, ["S1.1", "S1.2"], [], at_once=1)
    joins = tuple(act for act in acts if act[0].kind in {FaultKind.CUT, FaultKind.JOINED})
    result = study(net, [HELD], joins)
    assert (result.coil_states("Y1.coil") == POWERED).all()


def test_two_acts_include_a_cut_and_a_feed_behind_it(magnet):
    """With the conductor cut, the piece behind it is a point of its own."""
    acts = tamper_acts(magnet(), [], ["W5.7"])
    assert any(
        one.kind is FaultKind.CUT and two.kind is FaultKind.FED and set(two.subjects) == {"S3.2", "F1.1"}
        for one, two in (act for act in acts if len(act) == 2)
    )
    assert len(set(acts)) == len(acts)


def test_unknown_names_in_reach_are_named(magnet):
    with pytest.raises(UnknownNodeError, match=r"K9\.L"):
        tamper_acts(magnet(), ["K9.L"], [])
    with pytest.raises(UnknownControlError, match="W99"):
        tamper_acts(magnet(), [], ["W99"])


def contact_net(rng: random.Random, make) -> tuple[Netlist, list[tuple[str, str, str, bool]]]:
    """A lamp (coil) fed through a random mesh of contacts."""
    contacts = []
    for k in range(rng.randint(3, 9)):
        a, b = rng.sample("12345", 2)
        contacts.append((f"c{k}", a, b, rng.random() < 0.5))
    net = make.board(
        "0 1 2 3 4 5",
        make.element("s", "source 1 0", v_nominal_v=12.0, r_ohm=0.01),
        make.element("lamp", "coil 5 0", r_ohm=100.0, v_pull_in_v=8.0, v_drop_out_v=2.0),
        *(
            make.element(name, f"contact {a} {b}", f"x{k % 4}", closed, r_closed_ohm=0.05)
            for k, (name, a, b, closed) in enumerate(contacts)
        ),
    )
    return net, contacts


@pytest.mark.parametrize("seed", range(25))
def test_contact_circuits_agree_with_reachability(make, seed):
    """A contact-only circuit powers its coil exactly where a path of closed contacts leads to it."""
    net, contacts = contact_net(random.Random(seed), make)
    names = outside_names(net)
    states = all_states(names)
    faults = [(), *((f,) for f in single_faults(net) if f.kind is not FaultKind.SUPPLY_DEAD)]
    result = study(net, states, faults)
    for f, together in enumerate(faults):
        stuck = {fault.subjects[0]: fault.kind is FaultKind.CONTACT_WELDED for fault in together}
        for s, state in enumerate(states):
            graph = nx.Graph()
            graph.add_nodes_from("12345")
            for k, (name, a, b, closed) in enumerate(contacts):
                if stuck.get(f"N.{name}", state[f"x{k % 4}"] ^ closed):
                    graph.add_edge(a, b)
            lit = nx.has_path(graph, "1", "5")
            assert result.coil_states("N.lamp")[f, s] == (POWERED if lit else RELEASED)
    assert result.count == len(states) * len(faults)


def test_every_case_under_fault_is_lawful(magnet):
    """Kirchhoff's law and power balance in all 3,648 cases; a foreign source counts among joins."""
    net = magnet()
    topology, effects = effects_of(circuit_of(net).topology, single_faults(net))
    circuit = Circuit(topology, circuit_of(net).params)
    states = all_states(outside_names(net))
    n_faults = effects.off.shape[0]
    count = n_faults * len(states)
    cases = Cases(
        np.zeros(count, dtype=np.int64),
        np.full(count, SourceLevel.NOMINAL, dtype=np.int8),
        np.full(count, 20.0),
        np.tile(np.arange(len(states)), n_faults),
        state_table(topology, states),
        np.repeat(np.arange(n_faults), len(states))[:, None],
        effects,
    )
    solution = solve_cases(circuit, cases)
    assert np.isfinite(solution.v).all()
    assert kcl_residual_a(solution).max() < 1e-10
    assert np.abs(supplied_w(solution) - dissipated_w(solution)).max() < 1e-9
    assert np.abs(solution.v).max() <= 12.0 + 1e-9


def test_every_state_of_a_door_sized_topology_under_every_fault_is_solved(make, magnet):
    """256 states under every single fault: the count told is the count solved."""
    net = magnet()
    names = [*outside_names(net), "spare1", "spare2"]
    extra = make.component(
        "X1",
        "1 2 3",
        make.element("a", "contact 1 2", "spare1", r_closed_ohm=0.1),
        make.element("b", "contact 2 3", "spare2", True, r_closed_ohm=0.1),
    )
    wires = (
        *net.conductors,
        *(make.conductor(f"W8.{k}", f"X1.{k}", e, 0.4, "W8") for k, e in ((1, "K1.D"), (3, "K1.R"))),
    )
    wider = Netlist((*net.components, extra), (), wires, (), "G1.-")
    faults = [(), *((fault,) for fault in single_faults(wider))]
    states = all_states(names)
    assert len(states) == 256
    result = study(wider, states, faults, ["S1.contact"])
    assert result.count == 256 * len(faults)


def test_conditions_studied_together_come_out_as_each_does_alone(magnet):
    """Other lengths, source levels, temperatures and beginnings, every state under every single fault: to the last digit."""
    net = magnet()
    longer = replace(net, conductors=tuple(replace(c, r20_ohm=3.0 * c.r20_ohm) for c in net.conductors))
    faults = ((), *((fault,) for fault in single_faults(net)))
    states = all_states(outside_names(net))
    conditions = [
        StudyCondition(longer, SourceLevel.LOW, 60.0),
        StudyCondition(net, SourceLevel.HIGH, -10.0, energised=True),
        StudyCondition(longer, SourceLevel.HIGH, -10.0, energised=True),
    ]
    together = study_at(conditions, states, faults, ["S1.contact"])
    assert not np.array_equal(together[0].coil_v, together[2].coil_v)
    for one, found in zip(conditions, together, strict=True):
        at = (one.level, one.conductor_c)
        alone_found = study(one.netlist, states, faults, ["S1.contact"], at, one.energised)
        for name in ("coil", "coil_v", "watched_a", "collapsed", "unsettled"):
            assert np.array_equal(getattr(found, name), getattr(alone_found, name)), name


def test_netlists_of_two_structures_are_not_studied_together(magnet):
    net = magnet()
    with pytest.raises(CircuitValueError, match="2 structures"):
        study_at([StudyCondition(net), StudyCondition(replace(net, conductors=net.conductors[1:]))], [{}])
