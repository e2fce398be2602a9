"""Jackets and conduits on the way (NEC 2023 800.113, Table 722.135(B), chapter 9 tables 1 and 4)."""

import math

import pytest

INCH = 0.0254


def segment(name="S1", **more):
    return {"id": name, "from_node": f"{name}a", "to_node": f"{name}b", **more}


def through(*segments, ceiling="general", opening=None, **door):
    """One door whose cable runs through these; above its ceiling is the space given."""
    more = {"ceiling_space": ceiling} if ceiling else {}
    stated = {"opening": {**more, **(opening or {})}, "wiring": {"circuit": None}}
    return {"segments": segments, "doors": ({"segments": [s["id"] for s in segments], **stated, **door},)}


RISER, PLENUM = segment("S1", space="riser"), segment("S2", space="plenum")
IN_CONDUIT = segment("S3", space="plenum", kind="conduit")
JACKET = [
    pytest.param(through(RISER), {"verdict": "pass", "message": "CMR of cat6"}, id="riser in a riser"),
    pytest.param(
        through(RISER, PLENUM, cable="cat6-plenum"), {"verdict": "pass", "message": "in a plenum and in a riser"}, id="plenum in both"
    ),
    pytest.param(
        through(RISER, PLENUM, length_m=71),
        {"verdict": "fail", "severity": "error", "message": "in a plenum;", "remedy": "Pull 71 m of cat6-plenum (CMP) instead."},
        id="riser in a plenum",
    ),
    pytest.param(
        through(IN_CONDUIT), {"verdict": "fail", "severity": "warning", "message": "within conduit"}, id="within conduit only"
    ),
    pytest.param(through(IN_CONDUIT, PLENUM), {"verdict": "fail", "severity": "error"}, id="in conduit and in the open"),
    pytest.param(
        through(PLENUM, segment("S4", space="outdoor"), ceiling="plenum"),
        {"verdict": "fail", "remedy": "a cable that is marked for outdoor and plenum spaces"}, id="no cable type fits",
    ),
    pytest.param(
        {**through(PLENUM, cable="odd"), "cable_types": ({"id": "odd", "kind": "category", "gauge": "23 AWG", "jacket": "LSZH"},)},
        {"verdict": "not evaluated", "message": "LSZH"}, id="a mark the table does not know",
    ),
    pytest.param(
        {**through(PLENUM, cable="odd"), "cable_types": ({"id": "odd", "kind": "category", "gauge": "23 AWG"},)},
        {"verdict": "not evaluated", "remedy": "jacket of odd"}, id="no jacket stated",
    ),
    pytest.param(
        through(), {"verdict": "not evaluated", "message": "the spaces on its route"}, id="no segments known"
    ),
    pytest.param(
        through(RISER, ceiling="plenum"),
        {"verdict": "fail", "severity": "error", "message": "in a plenum; its route passes there: the last stretch to the opening."},
        id="the last stretch is above a plenum ceiling",
    ),
    pytest.param(
        through(RISER, opening={"outdoor": True}),
        {"verdict": "fail", "message": "open outdoors; its route passes there: the last stretch", "remedy": "50 m of cat6-outdoor"},
        id="the last stretch is outdoors",
    ),
    pytest.param(
        through(RISER, opening={"outdoor": True}, cable="cat6-outdoor"), {"verdict": "pass", "message": "outdoors and in a riser"},
        id="outdoor cable to an outdoor door",
    ),
    pytest.param(
        through(opening={"outdoor": True}), {"verdict": "fail", "message": "the last stretch"},
        id="outdoors without pathways",
    ),
    pytest.param(through(segment("S5")), {"subject": "Unnamed site", "verdict": "not evaluated"}, id="no space stated"),
    pytest.param(
        through(RISER, ceiling=None),
        {"subject": "Unnamed site", "subject_kind": "site", "verdict": "not evaluated", "message": "for 1 opening: 101",
         "remedy": "ceiling_space"}, id="ceiling not stated",
    ),
    pytest.param(
        through(segment("S6", kind="riser"), cable="cat6"), {"verdict": "pass", "message": "in a general space and in a riser"},
        id="a riser needs no space stated",
    ),
    pytest.param(
        {"doors": ({"placed": False, "opening": {"ceiling_space": "general"}, "wiring": {"circuit": None}},)},
        {"verdict": "not evaluated"}, id="no cable"),
    pytest.param(
        {"segments": (PLENUM,), "backbone": ({"from_id": "C1", "to_id": "C2", "segments": ["S2"]},)},
        {"subject": "C1>C2", "subject_kind": "cable", "verdict": "fail", "message": "OFNR of om4-12"}, id="backbone",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("spec", "expected"), JACKET)
def test_jacket_fit(judge, spec, expected):
    judge("jacket-fit", spec, expected)


def filled(count, diameter_m, trade_size="EMT 3/4", backbone=(), **conduit):
    cable = {"id": "own", "kind": "category", "gauge": "23 AWG", "outside_diameter_m": diameter_m}
    doors = tuple({"cable": "own", "segments": ["P1"]} for _ in range(count))
    pipe = segment("P1", kind="conduit", trade_size=trade_size, **conduit)
    return {"cable_types": (cable,), "doors": doors, "segments": (pipe,), "backbone": backbone}


def just_full(count, share, inside_in=0.824):
    """Diameter of `count` equal cables that fill this share of a round conduit; 3/4 EMT is 0.824 in wide."""
    return inside_in * INCH * math.sqrt(share / count)


# 2-1/2 EMT is 69.4 mm wide. 3/4 trade size: PVC80 is the narrowest at 0.722 in, IMC the widest at 0.864 in.
CONDUIT = [
    pytest.param(filled(4, 0.0058), {"verdict": "pass", "value": 100 * 4 * (0.0058 / (0.824 * INCH)) ** 2}, id="room left"),
    pytest.param(filled(4, just_full(4, 0.40)), {"verdict": "pass", "limit": 40, "margin": 0}, id="four at the limit"),
    pytest.param(filled(4, 1.001 * just_full(4, 0.40)), {"verdict": "fail", "limit": 40}, id="four beyond"),
    pytest.param(filled(2, just_full(2, 0.31)), {"verdict": "pass", "limit": 31, "margin": 0}, id="two at the limit"),
    pytest.param(filled(1, just_full(1, 0.53)), {"verdict": "pass", "limit": 53, "margin": 0}, id="one at the limit"),
    pytest.param(filled(4, just_full(4, 0.60), length_m=0.6), {"verdict": "pass", "limit": 60, "margin": 0}, id="nipple"),
    pytest.param(filled(4, just_full(4, 0.60), length_m=0.61), {"verdict": "fail", "limit": 40}, id="just no nipple"),
    pytest.param(
        filled(12, 0.0061),
        # 12 x 6.1 mm is 351 mm2; 1-1/4 EMT has 965 mm2. Two 3/4 conduits of 344 mm2 would be 51 % full, three 34 %.
        {"verdict": "fail", "remedy": "EMT of trade size 1-1/4: 36 %; or 3 conduits of this size side by side."},
        id="twelve need another size",
    ),
    pytest.param(filled(4, just_full(4, 0.40, 0.722), "3/4"), {"verdict": "pass", "margin": 0}, id="untyped, fits the narrowest"),
    pytest.param(filled(4, 1.001 * just_full(4, 0.40, 0.722), "3/4"), {"verdict": "not evaluated"}, id="untyped, in between"),
    pytest.param(filled(4, just_full(4, 0.40, 0.864), "3/4"), {"verdict": "not evaluated"}, id="untyped, fits the widest"),
    pytest.param(
        filled(4, 1.001 * just_full(4, 0.40, 0.864), "3/4"),
        {"verdict": "fail", "remedy": "Conduit of any type of trade size 1: 34 %"}, id="untyped, fits none",
    ),
    pytest.param(
        filled(2, just_full(2, 0.60)), {"verdict": "fail", "remedy": "or 2 conduits of this size"}, id="one conduit each"
    ),
    pytest.param(
        # 1-1/4: PVC80 is 1.255 in wide and would be 41 % full, the others less than 40 %.
        filled(4, just_full(4, 0.41, 1.255), "3/4"),
        {"verdict": "fail", "remedy": "onduit of any type of trade size 1-1/2"}, id="untyped, the type that needs most counts",
    ),
    pytest.param(filled(4, 0.0058, "PVC40 3/4"), {"verdict": "pass"}, id="type first"),
    pytest.param(filled(4, 0.0058, "3/4 emt"), {"verdict": "pass"}, id="type last, small letters"),
    pytest.param(
        filled(4, just_full(4, 0.40, 0.722), "PVC 3/4"), {"verdict": "pass"}, id="PVC passes what fits its heavier schedule",
    ),
    pytest.param(
        filled(4, just_full(4, 0.40, 0.804), "PVC 3/4"),
        {"verdict": "not evaluated", "remedy": "'PVC40 3/4'"}, id="PVC between its schedules",
    ),
    pytest.param(
        filled(4, just_full(4, 0.41, 0.804), "3/4 in. PVC"),
        {"verdict": "fail", "remedy": "PVC40 or PVC80 of trade size 1:"}, id="PVC fails what its lighter schedule does not hold",
    ),
    pytest.param(filled(4, 0.0058, ""), {"verdict": "not evaluated", "remedy": "trade_size"}, id="no trade size"),
    pytest.param(filled(4, 0.0058, "M25"), {"verdict": "not evaluated", "message": "M25"}, id="a size the table does not hold"),
    pytest.param(filled(4, None), {"verdict": "not evaluated", "remedy": "1 cable type: own"}, id="diameter unknown"),
    pytest.param(filled(0, 0.0058), {"verdict": "pass", "message": "No cable"}, id="empty"),
    pytest.param(
        filled(2, just_full(2, 0.31), backbone=({"from_id": "C1", "to_id": "C2", "segments": ["P1"]},)),
        {"verdict": "pass", "limit": 40}, id="a backbone cable counts",
    ),
    pytest.param(filled(1, 0.05), {"verdict": "fail", "remedy": "EMT of trade size 2-1/2: 52 %."}, id="one of 50 mm"),
    pytest.param(filled(1, 0.1), {"verdict": "fail", "remedy": "Another way than conduit"}, id="nothing holds it"),
]  # fmt: skip


@pytest.mark.parametrize(("spec", "expected"), CONDUIT)
def test_conduit_fill(judge, spec, expected):
    judge("conduit-fill", spec, {"subject": "P1", "subject_kind": "pathway", **expected})


def test_trays_have_no_fill_here(findings_of):
    assert findings_of("conduit-fill", through(PLENUM)) == []
