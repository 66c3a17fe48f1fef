"""Loading conditions: which parts are on board, and with what margin."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from ..messages.findings import BadInputError
from ..messages.sentence import Sentence
from ..messages.subjects import Subject


@dataclass(frozen=True)
class Condition:
    """A named loading of the vessel.

    `fills` sets the fill of tanks by name (0 to 1); `without` names the weights and tanks not
    loaded, `without_groups` whole groups of them. The margins are common practice in early design:
    a share `mass_margin` more of the weights' mass at their common center, and `kg_margin` meters
    by which G may rise. `flooded` names compartments open to the sea.
    """

    name: str
    fills: Mapping[str, float] = field(default_factory=dict)
    without: tuple[str, ...] = ()
    without_groups: tuple[str, ...] = ()
    mass_margin: float = 0.0
    kg_margin: float = 0.0
    flooded: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        where = Sentence("condition '{condition}'", condition=Subject("condition", self.name))
        for tank, fill in self.fills.items():
            if not 0 <= fill <= 1:
                raise BadInputError(
                    Sentence(
                        "{where}: the fill of '{tank}' is {fill}; give a share from 0 to 1",
                        where=where,
                        tank=Subject("tank", tank),
                        fill=f"{fill:g}",
                    )
                )
        if not (np.isfinite(self.mass_margin) and self.mass_margin > -1):
            raise BadInputError(
                Sentence(
                    "{where}: the margin on mass is {share}; give a share such as 0.05",
                    where=where,
                    share=f"{self.mass_margin:g}",
                )
            )
        if not np.isfinite(self.kg_margin):
            words = "{where}: the margin on G is not a number; give meters"
            raise BadInputError(Sentence(words, where=where))
        for name in self.flooded:
            if self.flooded.count(name) > 1:
                words = "{where}: the compartment '{compartment}' is flooded twice; name it once"
                raise BadInputError(
                    Sentence(words, where=where, compartment=Subject("compartment", name))
                )
