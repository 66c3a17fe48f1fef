"""Maximum displacement: the volume displaced when water is about to come aboard."""

from __future__ import annotations

import numpy as np

from ..buoyancy.attitude import Attitude
from ..model.case import Case


def max_displaced_volume(case: Case) -> float:
    """Volume (m3) of the hull, level and upright, up to the lowest point of ingress: an opening
    that is not weathertight, an open rim, or the deck edge.

    The whole hull without any of these. It is the maximum displacement of 33 CFR 183.3 (from
    memory), as a volume.
    """
    hull = case.hull
    ways = [opening.points for opening in case.active_openings if not opening.weathertight]
    points = np.concatenate([*ways, hull.edge_points])
    if not len(points):
        return hull.volume
    return hull.tree.below(Attitude.from_draft(float(points[:, 2].min()), hull.midship_x)).volume
