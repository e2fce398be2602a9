"""Labels that are kept stand where they would be placed anew."""

from __future__ import annotations

import pytest
from shapely import box

from riserkit.drawings.dxf.boxes import Rect
from riserkit.drawings.plan.kept_tags import placed_tags
from riserkit.drawings.plan.labels import Obstacles, Tag, TagPlacement, place_tags
from riserkit.kept import KeptWork

ROOM = Rect(-40, -40, 40, 40)
TAGS = tuple(Tag(name, ((x, 0.0),), ((name, 2.5),), radius_mm=2.0) for name, x in (("D1", 0.0), ("D2", 9.0)))


@pytest.fixture
def kept() -> KeptWork:
    record = KeptWork()
    placed_tags(record, TAGS, ROOM, Obstacles([], []))
    return KeptWork(record.entries)


def test_the_same_labels_are_taken_over(kept: KeptWork, monkeypatch: pytest.MonkeyPatch) -> None:
    anew = place_tags(TAGS, ROOM, Obstacles([], []))
    monkeypatch.setattr("riserkit.drawings.plan.kept_tags.place_tags", lambda *_: pytest.fail("placed anew"))
    again = placed_tags(kept, TAGS, ROOM, Obstacles([], []))
    assert repr(again) == repr(anew)
    assert [one.tag for one in again.placed] == list(TAGS)


@pytest.mark.parametrize("change", ["a line", "a symbol", "another size", "less room", "one less", "one that stands"])
def test_what_they_keep_clear_of_counts(kept: KeptWork, change: str) -> None:
    first = place_tags(TAGS, ROOM, Obstacles([], [])).placed[0]
    in_the_way = box(*first.box)
    tags, room, obstacles, standing = TAGS, ROOM, Obstacles([], []), ()
    if change == "a line":
        obstacles = Obstacles([in_the_way], [])
    elif change == "a symbol":
        obstacles = Obstacles([], [in_the_way])
    elif change == "another size":
        tags = (Tag("D1", ((0.0, 0.0),), (("D1", 3.5),), radius_mm=2.0), TAGS[1])
    elif change == "less room":
        room = Rect(-40, -40, 12, 40)
    elif change == "one less":
        tags = TAGS[1:]
    else:
        standing = (first,)
    found: TagPlacement = placed_tags(kept, tags, room, obstacles, standing=standing)
    assert repr(found) == repr(place_tags(tags, room, obstacles, standing=standing))
    assert found != place_tags(TAGS, ROOM, Obstacles([], []))
