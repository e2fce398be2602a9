"""What the columns of a plan alone decide: where items stand, which edges face where. Kept, for most moves leave it be."""

from __future__ import annotations

from riserkit.drawings.wiring.plan import Item, LayoutProblem, Standing, WiringPlan, columns_key, edges_of


def standing_of(problem: LayoutProblem, plan: WiringPlan) -> Standing:
    """What a plan's columns decide; the last answer again where the columns are the same object."""
    last = problem.last_standing.get("last")
    if last is None or last.columns is not plan.columns:
        last = problem.last_standing["last"] = _worked_out(problem, plan)
    return last


def _worked_out(problem: LayoutProblem, plan: WiringPlan) -> Standing:
    items: list[tuple[int, Item]] = []
    numbers: list[range] = []
    at, rank = [0] * len(problem.devices), [0] * len(problem.devices)
    gaps: dict[tuple[int, str], int] = {}
    for c, column in enumerate(plan.columns):
        numbers.append(range(len(items), len(items) + len(column)))
        for r, item in enumerate(column):
            if item.device >= 0:
                at[item.device], rank[item.device] = len(items), r
            else:
                gaps[c, item.passing] = len(items)
            items.append((c, item))
    column_of = [items[k][0] for k in at]
    return Standing(
        plan.columns, columns_key(plan), tuple(items), tuple(numbers), tuple(at), tuple(rank), gaps,
        edges_of(problem, plan), tuple([_reading(problem, n, rank) for n in range(len(at))]),
        sum([c > d for n, c in enumerate(column_of) for d in column_of[n + 1 :]]),
    )  # fmt: skip


def _reading(problem: LayoutProblem, n: int, rank: list[int]) -> tuple[int, ...]:
    """Only asked where a terminal has several conductors."""
    if not problem.devices[n].is_shared:
        return ()
    far = [(rank[w.b if w.a == n else w.a], w.wire) for w in problem.wires_of[n]]
    return tuple([wire for _, wire in sorted(far)])
