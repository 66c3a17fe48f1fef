"""A vessel with compartments open to the sea: lost buoyancy.

A compartment open to the sea carries no buoyancy and adds no weight: the body is the hull less the
flooded compartments times their permeability, free to sink, heel and trim.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from ..arrays import Floats
from ..buoyancy.body import LostBuoyancy, LostPart
from ..buoyancy.moment_tree import MomentTree
from ..model.case import Case
from ..model.compartment import Compartment, CompartmentPlan
from ..model.names import check_known
from .flooding_paths import spreads_flooding, with_opening_compartments


def damaged(case: Case, plan: CompartmentPlan, names: Iterable[str]) -> Case:
    """The vessel with compartments open to the sea, including those that the case names as flooded.

    A tank that is one of these compartments loses its content. Of the open edges of the hull only
    those remain that lead into dry compartments, and openings name the compartments that they lead
    into. Raises BadInputError for an unknown compartment.
    """
    compartments = compartments_named(case, plan, (*case.flooded, *names))
    tree = case.hull.tree
    whole, lost = (tree.whole, tree.lost) if isinstance(tree, LostBuoyancy) else (tree, ())
    assert isinstance(whole, MomentTree)
    known = {id(each.tree) for each in lost}
    fresh = [compartment for compartment in compartments if id(compartment.body) not in known]
    if not fresh:
        return case
    lost += tuple(LostPart(compartment.body, compartment.permeability) for compartment in fresh)
    flooded = tuple(compartment.name for compartment in compartments)
    names_text = ", ".join(f"'{compartment.name}'" for compartment in fresh)
    return replace(
        with_opening_compartments(case, plan),
        title=f"{case.title}, {names_text} flooded",
        hull=replace(
            case.hull, tree=LostBuoyancy(whole, lost), rims=_open_edges(case, plan, flooded)
        ),
        tanks=tuple(
            tank.filled(0.0)
            if any(
                compartment.name == tank.name or compartment.body is tank.body
                for compartment in compartments
            )
            else tank
            for tank in case.tanks
        ),
        flooded=flooded,
    )


def compartments_named(
    case: Case, plan: CompartmentPlan, names: Iterable[str]
) -> list[Compartment]:
    """The compartments of these names, each once."""
    known = {compartment.name: compartment for compartment in plan.compartments}
    names = tuple(dict.fromkeys(names))
    for name in names:
        check_known(case.title, "compartment", name, known)
    return [known[name] for name in names]


def _open_edges(case: Case, plan: CompartmentPlan, flooded: Sequence[str]) -> tuple[Floats, ...]:
    """Open edges (k, 2, 3) over which water enters dry compartments; those of the hull where the
    compartments behind them are unknown."""
    leading = (gap.edges for gap in plan.gaps if spreads_flooding(gap.compartments, flooded))
    return (*(() if plan.covers_hull_openings else case.hull.rims), *leading)
