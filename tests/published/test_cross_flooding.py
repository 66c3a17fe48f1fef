"""Time that a duct takes to flood the compartment across, by the formula of the IMO."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from addon.core.damage.breach import Breach
from addon.core.damage.orifice import GRAVITY
from addon.core.flooding_time.time_to_flood import simulate_flooding
from addon.core.messages.subjects import Subject
from addon.core.model.case import Case
from addon.core.model.compartment import CompartmentPlan
from addon.core.model.openings import Door
from tests import bodies
from tests.tank_networks import compartment_of

from .conftest import Check
from .shapes import block
from .ships import case_of, hull_of, load

pytestmark = pytest.mark.slow

DUCT = 0.12
LOSSES = 3.76
HALF_A_PER_CENT = 0.005

OTHER = Subject("compartment", "other")


def time_across(water: float, head: float, left: float) -> float:
    """Time (s) in which the duct passes a volume of water (m3), while the head (m) falls from
    `head` to `left` in proportion to the volume that has passed."""
    full = DUCT / np.sqrt(LOSSES) * np.sqrt(2 * GRAVITY * head)
    return float(2 * water / full * (1 - np.sqrt(left / head)) / (1 - left / head))


def ship(
    torn: bodies.Body, other: bodies.Body, duct: tuple[float, float, float], draft: float
) -> tuple[Case, CompartmentPlan]:
    """A box of 60 x 12 x 9 m at a draft, a breached compartment, the one across, and a duct."""
    case = case_of(hull_of(bodies.box(60, 12, 9)), load(1.025 * 720 * draft, 30, 0, 2))
    compartments = compartment_of("torn", torn), compartment_of("other", other)
    door = Door(
        "duct", np.array(duct), DUCT, 0.0, ("torn", "other"), discharge_coefficient=LOSSES**-0.5
    )
    return replace(case, doors=(door,)), CompartmentPlan(compartments)


def above_the_breached_compartment(fall: float, draft: float) -> tuple[Case, CompartmentPlan]:
    """A breached compartment of 10 m3 on the bottom amidships, and one of 365 m3 from 1 m above the
    bottom, `fall` high."""
    half = 365 / fall / 12 / 2
    torn, other = block((29, 31), (-2.5, 2.5), (0, 1)), block((-half, half), (-6, 6), (1, 1 + fall))
    return ship(torn, bodies.moved(other, (30, 0, 0)), (30, 0, 1), draft)


def test_vessel_held(check: Check) -> None:
    """A duct of 0.12 m2 with losses of 3.76 passes 365 m3, the head falling from 5.3 to 1.5 m.

    Source: IMO resolutions MSC.245(83) and MSC.362(92) (formula and example of 755 s from memory).
    """
    case, plan = above_the_breached_compartment(3.8, 6.3)
    hole = Breach(np.array([30.0, 0.0, 0.0]), 4.0)
    flooded = simulate_flooding(case, plan, "torn", hole, fixed_attitude=True)
    full = (each for each in flooded.events if each.kind == "full" and each.subject == OTHER)
    time = next(full).time
    check("1/sqrt(k)", case.doors[0].discharge_coefficient, "0.516", within=5e-4)
    within = HALF_A_PER_CENT * 755
    check("time, s", time, "755", time_across(365, 5.3, 1.5), within=within, facets=2e-3)


def test_vessel_free_to_sink(check: Check) -> None:
    """The same with the vessel free to sink and the compartment higher by the sinkage, 365 m3 over
    a waterplane of 720 m2, so that the head falls as before.

    Source: IMO resolutions MSC.245(83) and MSC.362(92) (formula and example of 755 s from memory);
    parallel sinkage by closed form.
    """
    case, plan = above_the_breached_compartment(3.8 + 365 / 720, 6.3 - 10 / 720)
    flooded = simulate_flooding(case, plan, "torn", Breach(np.array([30.0, 0.0, 0.0]), 4.0))
    full = (each for each in flooded.events if each.kind == "full" and each.subject == OTHER)
    time = next(full).time
    within = HALF_A_PER_CENT * 755
    check("time, s", time, "755", time_across(365, 5.3, 1.5), within=within, facets=2e-3)
    check("draft, m", flooded.levels[-1], exact=6.3 + 365 / 720)


def test_from_side_to_side(check: Check) -> None:
    """A breached wing compartment of 6 x 1.5 m to starboard floods its twin to port: the vessel
    heels, then returns to upright as the head across falls to zero.

    Source: IMO resolutions MSC.245(83) and MSC.362(92) (formula from memory); the head with one
    compartment flooded by closed form, lost buoyancy at a small heel.
    """
    torn, other = block((27, 33), (-6, -4.5), (0, 9)), block((27, 33), (4.5, 6), (0, 9))
    case, plan = ship(torn, other, (30, 4.5, 0), 4.0)
    flooded = simulate_flooding(case, plan, "torn", Breach(np.array([30.0, -5.0, 0.0]), 60.0))
    draft, middle = 4 * 720 / 711, 9 * 5.25 / 711
    second = 60 * 12**3 / 12 - 9 * 5.25**2 - 6 * 1.5**3 / 12 - 711 * middle**2
    tangent = middle / (draft / 2 + second / 2880 - 2)
    head = (draft - (4.5 - middle) * tangent) * np.cos(np.arctan(tangent))
    heels = np.arctan2(flooded.ups[:, 1], flooded.ups[:, 2])
    check("maximum heel, deg", np.degrees(heels.max()), exact=np.degrees(tangent), facets=5e-3)
    water = 9 * 720 * 4 / 702
    check("water across, m3", flooded.water[-1, 1], exact=water)
    assert flooded.settled is not None
    time = time_across(water, head, 0.0)
    check("time, s", flooded.settled, exact=time, facets=HALF_A_PER_CENT)
    assert abs(np.degrees(heels[-1])) < 1e-4
