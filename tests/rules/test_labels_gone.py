"""A door taken out of the list leaves its cable in the wall: its labels speak until they are void, its port is not free."""

import pytest

from riserkit.design import design
from riserkit.findings import Severity, Verdict
from riserkit.holds import NO_HOLDS
from riserkit.network.placement import held_ports
from riserkit.plugin.read import read_site
from riserkit.reports.schedules.equipment import switch_ports_table
from riserkit.rules._shared.class_ports import closest_of_class
from riserkit.rules._shared.evaluate import check
from riserkit.rules._shared.lookups import free_ports
from riserkit.starter.tables import write_starter


@pytest.fixture
def site(tmp_path):
    """The starting site, issued."""
    write_starter(tmp_path / "site")
    site = read_site(tmp_path / "site")
    return site.model_copy(update={"issued_labels": design(site).labels.issued})


def without(site, mark, *, void=False):
    labels = tuple(i.model_copy(update={"void": void}) if i.subject == mark else i for i in site.issued_labels)
    return site.model_copy(
        update={"openings": tuple(o for o in site.openings if o.mark != mark), "issued_labels": labels}
    )


def said(made):
    return [f for f in check(made) if f.rule == "label-without-opening"]


def port_row(made, number):
    return next(
        dict(zip(t.columns, row, strict=True))
        for t in (switch_ports_table(made, NO_HOLDS),)
        for row in t.rows
        if row[2] == number
    )


def test_an_issued_site_with_all_its_doors_passes(site):
    (found,) = said(design(site))
    assert found.verdict is Verdict.PASS
    assert held_ports(site) == {}


def test_a_door_that_is_gone_is_told_with_all_that_was_issued_for_it(site):
    before = design(site)
    port = before.door["102"].placement.port
    made = design(without(site, "102"))
    (found,) = said(made)
    assert (found.subject, found.verdict, found.severity) == ("102", Verdict.FAIL, Severity.WARNING)
    for label in (before.labels.cable["102"], before.labels.opening["102"]):
        assert label in found.message
    assert "102" in port_row(made, port)["opening"]
    (closet,) = free_ports(made)
    assert free_ports(made)[closet] == free_ports(before)[closet], "its port is not free"
    of_class = closest_of_class(made, made.door["101"], 4, lambda _: True)
    assert of_class is not None
    assert of_class.free == free_ports(made)[closet]


def test_void_labels_are_silent_and_free_the_port_but_are_not_issued_again(site):
    before = design(site)
    port = before.door["102"].placement.port
    made = design(without(site, "102", void=True))
    (found,) = said(made)
    assert found.verdict is Verdict.PASS
    assert port_row(made, port)["opening"] == "free"
    (closet,) = free_ports(made)
    assert free_ports(made)[closet] == free_ports(before)[closet] + 1
    assert [i.void for i in made.labels.issued if i.subject == "102"] == [True] * 3


def test_a_door_that_is_back_while_its_labels_are_void_is_told(site):
    voided = tuple(i.model_copy(update={"void": True}) if i.subject == "102" else i for i in site.issued_labels)
    (found,) = said(design(site.model_copy(update={"issued_labels": voided})))
    assert found.verdict is Verdict.FAIL
    assert "void" in found.message
