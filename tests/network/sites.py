"""Small sites for tests of the network stage."""

from __future__ import annotations

from collections.abc import Iterable

from riserkit.model.cabling import PathwayKind, PathwaySegment, Run
from riserkit.model.info import SiteInfo
from riserkit.model.opening import Opening
from riserkit.model.place import Closet, Level, PathwayNode
from riserkit.model.site import Site
from riserkit.network.routes import Router
from riserkit.network.values import Route

# No slack, so that a test's arithmetic shows only what it is about.
TIGHT = SiteInfo(closet_slack_m=0, door_slack_m=0, service_loop_m=0)

GROUND = Level(id="G", elevation_m=0.0, ceiling_m=3.0)
UPPER = Level(id="U", elevation_m=4.0, ceiling_m=3.0)

# From the ceiling, 3.0 m, to rack or controller, each at 1.2 m.
DOWN_M = 1.8


def node(name: str, x_m: float, y_m: float, level: str = "G", height_m: float | None = None) -> PathwayNode:
    return PathwayNode(id=name, level=level, x_m=x_m, y_m=y_m, height_m=height_m)


def tray(name: str, a: str, b: str, length_m: float | None = None, kind: str = "tray") -> PathwaySegment:
    return PathwaySegment(id=name, from_node=a, to_node=b, kind=PathwayKind(kind), length_m=length_m)


def door(mark: str, x_m: float, y_m: float, level: str = "G", **more: object) -> Opening:
    return Opening.model_validate({"mark": mark, "level": level, "x_m": x_m, "y_m": y_m, **more})


def closet(name: str, x_m: float, y_m: float, level: str = "G", **more: object) -> Closet:
    return Closet.model_validate({"id": name, "level": level, "x_m": x_m, "y_m": y_m, **more})


def run(name: str, a: str, b: str, length_m: float | None = None, **more: object) -> Run:
    return Run.model_validate({"id": name, "from_end": a, "to_end": b, "length_m": length_m, **more})


def site(**tables: object) -> Site:
    values: dict[str, object] = {"info": TIGHT, "levels": (GROUND, UPPER), **tables}
    return Site.model_validate(values)


def sure(route: Route | None) -> Route:
    assert route is not None
    return route


def route_between(one: Site, closet_id: str = "C1", mark: str = "D1") -> Route:
    return sure(Router.of(one).route(closet_id, mark))


def chain(xs_m: Iterable[float], level: str = "G", prefix: str = "N") -> tuple[PathwayNode, ...]:
    return tuple(node(f"{prefix}{number}", x_m, 0.0, level) for number, x_m in enumerate(xs_m))


def changed(one: Site, **tables: object) -> Site:
    """The site with other tables, nothing worked out carried over."""
    return Site.model_validate({name: getattr(one, name) for name in Site.model_fields} | tables)
