"""The panels of the sidebar tab, in the order of work."""

from __future__ import annotations

import bpy

from .compartments import NAVAL_CHECKS_PT_compartments
from .conditions import NAVAL_CHECKS_PT_conditions
from .criteria import NAVAL_CHECKS_PT_checked, NAVAL_CHECKS_PT_criteria, NAVAL_CHECKS_PT_service
from .export import NAVAL_CHECKS_PT_export
from .floating_position import NAVAL_CHECKS_PT_floating
from .flooding import NAVAL_CHECKS_PT_flooding
from .hull import NAVAL_CHECKS_PT_hull
from .openings import NAVAL_CHECKS_PT_openings
from .stability import NAVAL_CHECKS_PT_stability
from .tanks import NAVAL_CHECKS_PT_tanks
from .viewport_display import NAVAL_CHECKS_PT_viewport_display
from .weights import NAVAL_CHECKS_PT_weights

PANELS = (
    NAVAL_CHECKS_PT_hull,
    NAVAL_CHECKS_PT_weights,
    NAVAL_CHECKS_PT_tanks,
    NAVAL_CHECKS_PT_openings,
    NAVAL_CHECKS_PT_floating,
    NAVAL_CHECKS_PT_stability,
    NAVAL_CHECKS_PT_criteria,
    NAVAL_CHECKS_PT_service,
    NAVAL_CHECKS_PT_checked,
    NAVAL_CHECKS_PT_conditions,
    NAVAL_CHECKS_PT_compartments,
    NAVAL_CHECKS_PT_flooding,
    NAVAL_CHECKS_PT_viewport_display,
    NAVAL_CHECKS_PT_export,
)

register, unregister = bpy.utils.register_classes_factory(PANELS)
