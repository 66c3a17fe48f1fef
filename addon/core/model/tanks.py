"""Tanks: liquids that keep their volume and whose surface stays level.

At every attitude the liquid of a tank is the part of its body below a plane of its own, parallel to
the water, so its center moves to the low side as it does on board. The liquid's density times the
second moment of its surface is taken off the stiffness: the free surface effect, exact at any heel.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..arrays import Floats
from ..buoyancy.attitude import UPRIGHT_UP, Attitude
from ..buoyancy.immersion import Immersion
from ..buoyancy.level import immersed_to_volume
from ..buoyancy.moment_tree import MomentTree
from ..messages.findings import BadInputError
from ..messages.sentence import Sentence
from ..messages.subjects import Subject

PRESSED_UP_FILL = 1 - 1e-9
"""Fill from which a tank is pressed up and has no free surface."""
MIN_FILL = 1e-9
"""Fill below which the content lies as that much would, so that its surface is defined."""
MIN_PERMEABILITY = 1e-3
"""Share of a volume below which it holds so little that water fills it instantly."""


@dataclass(frozen=True)
class Liquid:
    """The content of a tank at an attitude.

    Mass (kg), center (3,) in ship axes, level of its surface along up (m), and the second moments
    (2, 2) of that surface about its own centroid in m4, ahead and across.
    """

    mass: float
    center: Floats
    level: float
    surface: Floats


@dataclass(frozen=True)
class Tank:
    """A closed body in ship axes, filled to a share `fill` of its capacity.

    `density` is that of the content (kg/m3), `permeability` the share of the body's volume that
    liquid can take. `group` is the user's own label for what it belongs to.
    """

    name: str
    body: MomentTree
    density: float
    fill: float = 0.0
    permeability: float = 1.0
    group: str = ""

    def __post_init__(self) -> None:
        if not (np.isfinite(self.density) and self.density > 0):
            raise BadInputError(
                Sentence(
                    "tank '{tank}': the density is {density} kg/m3; give one above zero, such as "
                    "1000 for fresh water",
                    tank=Subject("tank", self.name),
                    density=f"{self.density:g}",
                )
            )
        if not 0 <= self.fill <= 1:
            raise BadInputError(
                Sentence(
                    "tank '{tank}': the fill is {fill}; give a share from 0 to 1, such "
                    "as 0.5 for half full",
                    tank=Subject("tank", self.name),
                    fill=f"{self.fill:g}",
                )
            )
        if not MIN_PERMEABILITY <= self.permeability <= 1:
            raise BadInputError(
                Sentence(
                    "tank '{tank}': the permeability is {share}; give a share from {least} to 1",
                    tank=Subject("tank", self.name),
                    share=f"{self.permeability:g}",
                    least=f"{MIN_PERMEABILITY:g}",
                )
            )

    @property
    def capacity(self) -> float:
        """Volume that liquid can take (m3)."""
        return self.permeability * self.body.volume

    @property
    def mass(self) -> float:
        """Mass of the content (kg)."""
        return self.density * self.fill * self.capacity

    def filled(self, fill: float) -> Tank:
        """The tank with another fill of the same content."""
        return replace(self, fill=fill)

    def liquid(self, up: Floats) -> Liquid:
        """Its content with the world's up direction (3,) in ship axes; a share of it below
        `MIN_FILL` lies as that much would."""
        if self.fill >= PRESSED_UP_FILL:
            wet = self._whole
            return Liquid(self.mass, wet.buoyancy, self.body.span(up)[1], np.zeros((2, 2)))
        wet = self._wet(up, float(up @ self._middle))
        surface = self.permeability * wet.inertia
        return Liquid(self.mass, wet.buoyancy, wet.attitude.level, surface)

    def _wet(self, up: Floats, near: float | None = None) -> Immersion:
        """The part of the body below the surface, its level sought from the estimate `near` (m)."""
        return immersed_to_volume(
            self.body, up, max(self.fill, MIN_FILL) * self.body.volume, near=near
        )

    @cached_property
    def _middle(self) -> Floats:
        """The center (3,) of its surface upright, near which the surface passes at other angles."""
        return self._wet(UPRIGHT_UP).flotation

    @cached_property
    def _whole(self) -> Immersion:
        return self.body.below(Attitude(UPRIGHT_UP, self.body.high[2] + self.body.size))


def free_surface_moment(tank: Tank) -> float:
    """Upright free surface moment: density times the second moment of the surface about its own
    longitudinal axis (kg m).

    Divided by the displacement it is the free surface correction of GM; common practice.
    """
    if not tank.fill:
        return 0.0
    return tank.density * float(tank.liquid(UPRIGHT_UP).surface[1, 1])
