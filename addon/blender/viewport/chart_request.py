"""A chart of a vessel that a region shows, and where on it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ...charts.chart import Chart
from ...charts.floodable_length_chart import FloodableFigures, floodable_length_chart
from ...charts.flooding_chart import FloodingFigures, flooding_chart
from ...charts.gz_chart import gz_chart
from ...charts.gz_figures import gz_figures, judged_figures
from ...charts.layout import lay_out
from ...charts.panel import ChartDrawing, ChartStyle, Spot
from ...core.criteria.assessment import Assessment
from ...core.damage.subdivision import Subdivision
from ...core.flooding_time.flooding_history import FloodingHistory
from ...core.stability.both_sides import Stability
from ...units.lengths import Lengths
from .gpu_text import text_size


@dataclass(frozen=True, eq=False)
class ChartRequest:
    """A chart of a vessel, at a `place` in the free part of a region of `size` usual sizes: its GZ
    curve, the residual one `left` after flooding, the flooding in time `run`, or of the floodable
    length for a `subdivision`, whose compartments have `names`, and of which one boundary is
    `chosen`.

    `at` is the heel (rad), the time (s) or the place (m) inspected; None at rest.
    """

    name: str
    ship: Assessment | None
    lengths: Lengths
    at: float | None = None
    stale: bool = False
    place: tuple[float, float] = (1.0, 0.0)
    size: float = 1.0
    run: FloodingHistory | None = None
    left: Stability | None = None
    subdivision: Subdivision | None = None
    names: tuple[str, ...] = ()
    chosen: str = ""

    @property
    def result(self) -> object:
        """What it is drawn from."""
        return self.subdivision or self.run or self.left or self.ship

    @property
    def chart(self) -> Chart:
        """What the chart shows."""
        if self.subdivision:
            looked = self.names, self.lengths, self.at, self.chosen
            return floodable_length_chart(FloodableFigures.of(self.name, self.subdivision, *looked))
        if self.run:
            run = FloodingFigures.of(self.name, self.run, self.lengths, self.at or 0.0)
            return flooding_chart(run)
        if self.left:
            left = gz_figures(self.name, self.left, self.lengths, shows="still")
            return gz_chart(replace(left, kind="residual GZ"))
        assert self.ship
        return gz_chart(judged_figures(self.name, self.ship, self.lengths, self.at))

    def laid_out(self, spot: Spot, style: ChartStyle) -> ChartDrawing:
        """The chart on its panel."""
        return lay_out(self.chart, spot, style, text_size)
