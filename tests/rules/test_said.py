"""Words in names and remarks that rules of egress take up, and words like them that they leave."""

from __future__ import annotations

import pytest

from riserkit.rules._shared.evaluate import check
from riserkit.rules._shared.said import BOTH_WAYS, CROWD, EXIT, NOT_SWINGING, SECOND_LOCK

STRIKE = {"lock": "strike-12-secure", "egress": "mechanical", "free_egress_hardware": True}


@pytest.mark.parametrize(
    ("words", "text", "said"),
    [
        (NOT_SWINGING, "Lobby turnstile 3", True),
        (NOT_SWINGING, "Roll-down shutter closes at night", True),
        (NOT_SWINGING, "roller door", True),
        (NOT_SWINGING, "Schiebetür", True),
        (NOT_SWINGING, "payroll door", False),
        (NOT_SWINGING, "swing door", False),
        (SECOND_LOCK, "Deadbolt above the lever", True),
        (SECOND_LOCK, "double cylinder", True),
        (SECOND_LOCK, "Chained at night", True),
        (SECOND_LOCK, "supply chain office", False),
        (SECOND_LOCK, "no dead bolt", False),
        (EXIT, "Emergency exit east", True),
        (EXIT, "EXIT sign above", True),
        (EXIT, "Notausgang", True),
        (EXIT, "no exit sign", False),
        (EXIT, "exit button", False),
        (EXIT, "fire door", False),
        (BOTH_WAYS, "Egress in both directions", True),
        (BOTH_WAYS, "either side is an exit", True),
        (BOTH_WAYS, "readers on both sides", False),
        (CROWD, "occupant load 50", True),
        (CROWD, "occupant load 49", False),
        (CROWD, "60 people", True),
        (CROWD, "12 people", False),
        (CROWD, "Group H-3", True),
        (CROWD, "Group B", False),
        (CROWD, "Assembly line 3", False),
        (CROWD, "Lecture hall", True),
    ],
)
def test_words_are_taken_up_or_left(words, text, said):
    assert bool(words.search(text)) is said


def conditions(site_of, **opening):
    """What has to be confirmed, and what remarks say that nothing reads."""
    found = check(site_of({**STRIKE, **opening}))
    asked = {f.about for f in found if f.rule == "egress-conditions" and f.is_open}
    return asked, [f.message for f in found if f.rule == "remarks-not-shown"]


def test_what_is_asked_says_what_made_it_so_and_is_told_once(site_of):
    asked, left = conditions(site_of, remarks="Dead bolt above; egress both ways; 120 seats")
    assert asked == {"one-motion", "other-way-out", "panic-hardware-fitted"}
    assert left == []
    (found,) = (f for f in check(site_of({**STRIKE, "remarks": "Padlocked"})) if f.about == "one-motion")
    assert "(its remarks say 'Padlocked')" in found.message


def test_at_a_door_that_is_no_exit_the_words_stay_remarks(site_of):
    asked, left = conditions(site_of, egress="none", remarks="Dead bolt above; egress both ways; 120 seats")
    assert asked == {"other-way-out"}
    assert "'Dead bolt above'" in left[0]
    assert "'120 seats'" in left[0]


def test_a_rated_door_says_its_rating(site_of):
    found = check(site_of({**STRIKE, "fire_rating_min": 45, "latching_hardware": True}))
    (asked,) = (f for f in found if f.about == "fire-door-prepared")
    assert "(the door is rated 45 min)" in asked.message
    assert asked.source == "NFPA 80, preparation of fire doors (from memory)"
    assert not any(f.about == "fire-door-prepared" for f in check(site_of({**STRIKE, "fire_rating_min": 0})))


@pytest.mark.parametrize(
    ("code", "cited"),
    [
        ("IBC 2024", "IBC 2024 1010.2.8 (verified)"),
        ("", "IBC 2021 1010.2.9 (verified); the site names no edition of the IBC"),
    ],
)
def test_panic_hardware_cites_the_edition(site_of, code, cited):
    made = site_of({**STRIKE, "secured_side": "Auditorium"}, building_code=code)
    (asked,) = (f for f in check(made) if f.about == "panic-hardware-fitted")
    assert asked.source == cited
    assert "its secured side is called 'Auditorium'" in asked.message


@pytest.mark.parametrize(("free", "verdict"), [(None, "not evaluated"), (False, "fail"), (True, "pass")])
def test_a_latch_beside_a_magnet_asks_for_the_lever(site_of, free, verdict):
    magnet = {"lock": "magnet-12-300", "egress": "sensor-release", "latching_hardware": True}
    made = site_of({**magnet, "free_egress_hardware": free})
    (found,) = (f for f in check(made) if f.about == "latch beside the magnet")
    assert found.verdict == verdict
    assert found.rule == "free-egress-mechanical"
