"""A weight about to be dropped: the mass typed, the place snapped, the position foretold."""

from __future__ import annotations

import bodies
import numpy as np
import pytest

from addon.blender.viewport.palette import ON_DARK
from addon.blender.viewport.preview import DropPreview, forecast, place_words
from addon.blender.viewport.snapping import SnapPoint, fine, grid_step, met, named, places
from addon.blender.viewport.style import Style
from addon.blender.viewport.view import View
from addon.core.advice.trial_loading import TrialLoading
from addon.core.arrays import Floats
from addon.core.model.case import Case
from addon.core.model.conditions import Condition
from addon.core.model.hull import build_hull
from addon.core.model.openings import Opening
from addon.core.model.weights import Weight
from addon.drawing.pixel_boxes import Box
from addon.drawing.tessellation import Stroke
from addon.units.lengths import Lengths
from addon.units.mass_entry import MassEntry, MassUnit
from tests.language import refused

KILOGRAM = MassUnit.of("METRIC", "ADAPTIVE")
HUNDRED = MassEntry(KILOGRAM, 100.0)
DECK = np.array([0.0, 0.0, 1.0])
WATER = 1025.0


def point(*place: float) -> Floats:
    return np.array(place)


def typed(marks: str, entry: MassEntry = HUNDRED) -> MassEntry:
    for mark in marks:
        entry = entry.typed(mark)
    return entry


def plan(meter: float = 10.0) -> View:
    """A look straight down, so many pixels a meter, the origin in the lower left corner."""
    matrix = np.diag([meter / 500, meter / 500, 0.01, 1.0])
    matrix[:2, 3] = -1.0
    return View(matrix, 1000, 1000)


class TestMass:
    def test_is_kept_until_another_is_typed(self) -> None:
        entry = HUNDRED
        assert (entry.kilograms, str(entry)) == (100.0, "100 kg")
        entry = typed("12.5", entry)
        assert (entry.kilograms, str(entry)) == (12.5, "12.5_ kg")
        assert entry.erased().erased().kilograms == 12.0
        assert entry.settled() == MassEntry(KILOGRAM, 12.5)
        assert typed("1").erased().kilograms == 100.0

    def test_is_no_mass_while_it_is_no_number(self) -> None:
        assert typed(".").kilograms == 0.0
        assert typed(".5").kilograms == 0.5
        assert typed("1.5.5").text == "1.55"
        assert typed("1" * 20).kilograms == 111_111_111

    @pytest.mark.parametrize(
        ("system", "unit", "symbol", "kilograms"),
        [
            ("METRIC", "TONNES", "t", 1000.0),
            ("NONE", "ADAPTIVE", "kg", 1.0),
            # the international pound, 0.45359237 kg, and its multiples
            ("IMPERIAL", "ADAPTIVE", "lb", 0.45359237),
            ("IMPERIAL", "TONNES", "tn", 907.18474),
            ("IMPERIAL", "OUNCES", "oz", 0.028349523125),
            ("IMPERIAL", "STONES", "st", 6.35029318),
        ],
    )
    def test_is_typed_in_the_unit_of_the_scene(
        self, system: str, unit: str, symbol: str, kilograms: float
    ) -> None:
        entry = typed("2", MassEntry(MassUnit.of(system, unit), 1.0))
        assert entry.kilograms == pytest.approx(2 * kilograms, rel=1e-12)
        assert str(entry) == f"2_ {symbol}"


class TestAim:
    def test_slides_along_the_surface(self) -> None:
        """A deck with a sheer of one in ten: 0.1 m higher for each meter ahead."""
        slope = point(-0.1, 0.0, 1.0) / np.hypot(0.1, 1.0)
        snap_point = SnapPoint(point(2.24, 0.61, 1.0), slope).on_grid(0.5)
        assert snap_point.point == pytest.approx((2.0, 0.5, 1.0 - 0.024))

    @pytest.mark.parametrize(
        ("normal", "place"),
        [
            ((0, 0, 1), (2.0, 0.5, 1.13)),
            ((0, -1, 0), (2.0, 0.61, 1.0)),
            ((1, 0, 0), (2.24, 0.5, 1.0)),
        ],
    )
    def test_stays_on_deck_side_and_bulkhead(
        self, normal: tuple[float, ...], place: tuple[float, ...]
    ) -> None:
        snap_point = SnapPoint(point(2.24, 0.61, 1.13), point(*normal)).on_grid(0.5)
        assert snap_point.point == pytest.approx(place)

    def test_finds_the_centerline_along_a_cambered_deck(self) -> None:
        camber = point(0.0, 0.1, 1.0) / np.hypot(0.1, 1.0)
        assert SnapPoint(point(2, 0.5, 1), camber).on_centerline().point == pytest.approx(
            (2, 0, 1.05)
        )
        assert SnapPoint(point(2, 0.5, 1), point(0, 1, 0)).on_centerline().point == pytest.approx(
            (2, 0, 1)
        )

    def test_is_drawn_to_the_centerline_by_pixels_and_meters(self) -> None:
        snap_point = SnapPoint(point(2, 0.5, 1), DECK)
        assert snap_point.near_centerline(plan(10), 9.0, 1.0)
        assert not snap_point.near_centerline(plan(20), 9.0, 1.0)
        assert not snap_point.near_centerline(plan(10), 9.0, 0.4)
        assert not SnapPoint(snap_point.point, point(0, 1, 0)).near_centerline(plan(10), 9.0, 1.0)


def test_a_line_of_sight_meets_the_plane_it_sees_best() -> None:
    middle = point(5, 0, 2)
    down = met(point(1, 1, 10), point(0, 0, -1), middle)
    abeam = met(point(1, 9, 1), point(0, -1, 0), middle)
    ahead = met(point(20, 1, 1), point(-1, 0, 0), middle)
    assert [list(snap_point.point) for snap_point in (down, abeam, ahead)] == [
        [1, 1, 2],
        [1, 0, 1],
        [5, 1, 1],
    ]
    assert met(point(1, 1, 10), point(0, 0, 1), middle) is None


def test_fine_work_is_ten_times_slower() -> None:
    assert fine(point(100, 100), point(130, 80)) == pytest.approx((103, 98))


@pytest.mark.parametrize(
    ("meter", "lengths", "step"),
    [
        (200, Lengths(), 0.1),
        (30, Lengths(), 0.5),
        (15, Lengths(), 1.0),
        (30, Lengths(system="IMPERIAL"), 2 * 0.3048),
    ],
)
def test_the_grid_follows_zoom_and_unit(meter: float, lengths: Lengths, step: float) -> None:
    assert grid_step(point(3, 0, 0), plan(meter), lengths, 1.0, False) == pytest.approx(step)


def test_the_grid_is_closer_for_fine_work() -> None:
    assert grid_step(point(3, 0, 0), plan(15), Lengths(), 1.0, True) == pytest.approx(0.1)
    assert grid_step(point(3, 0, 0), plan(15), Lengths(), 2.0, False) == pytest.approx(2.0)


def test_a_pair_is_named_by_its_sides() -> None:
    pair = places(point(1, -2, 3), True)
    assert [list(spot) for spot in pair] == [[1, -2, 3], [1, 2, 3]]
    assert named("Weight", pair) == ("Weight starboard", "Weight port")
    assert named("Weight", places(point(1, -2, 3), False)) == ("Weight",)
    assert len(places(point(1, 0, 3), True)) == 1


@pytest.fixture(scope="module")
def prospect() -> TrialLoading:
    """A box of 10 x 4 x 3 m that weighs 40 m3 of water, G 1 m up amidships: draft 1 m."""
    hull = build_hull(bodies.mesh(bodies.box(), "hull"))
    weight = Weight("all", 40 * WATER, point(5, 0, 1), "structure")
    return TrialLoading(Case("box", hull, (weight,))).with_known_position()


class TestForecast:
    """A box of 10 x 4 m sinks 1 m for each 40 m3; KM = T/2 + b2/12T."""

    def test_of_a_weight_amidships(self, prospect: TrialLoading) -> None:
        assert prospect.water is not None
        assert prospect.water.level == pytest.approx(1.0)
        reported = forecast(
            prospect.with_masses(20 * WATER, [point(5, 0, 1)]).floating_position(),
            Lengths(fine=True),
        )
        GM = 1.5 / 2 + 16 / (12 * 1.5) - 1.0
        words = ("upright", "on an even keel", f"GM {GM:.3f} m", "draft 1.500 m")
        assert reported == tuple((word, "plain") for word in words)

    def test_of_a_pair_is_upright_and_of_one_is_not(self, prospect: TrialLoading) -> None:
        pair = places(point(5, 1.5, 1), True)
        assert (
            forecast(prospect.with_masses(500, pair).floating_position(), Lengths())[0][0]
            == "upright"
        )
        one = forecast(prospect.with_masses(500, pair[:1]).floating_position(), Lengths())[0][0]
        # tan heel = m y / (W GM), GM with the weight aboard
        mass, volume = 40 * WATER + 500, 40 + 500 / WATER
        draft = volume / 40
        GM = draft / 2 + 16 / (12 * draft) - 1.0
        heel = np.degrees(np.arctan(500 * 1.5 / mass / GM))
        assert one == f"list {heel:.1f}° to port"

    def test_of_several_in_a_row(self, prospect: TrialLoading) -> None:
        spots = [point(5, 0, 1)]
        twice = (
            prospect.with_masses(10 * WATER, spots)
            .with_known_position()
            .with_masses(10 * WATER, spots)
        )
        assert twice.floating_position().weight.mass == pytest.approx(60 * WATER)

    def test_in_a_condition_that_leaves_the_group_ashore(self, prospect: TrialLoading) -> None:
        light = TrialLoading(prospect.case, Condition("light", without_groups=("ballast",)))
        laden = light.with_masses(20 * WATER, [point(5, 0, 1)], "ballast").floating_position()
        assert laden.weight.mass == pytest.approx(40 * WATER)

    def test_of_the_first_weight(self, prospect: TrialLoading) -> None:
        bare = TrialLoading(Case("box", prospect.case.hull)).with_known_position()
        assert bare.water is None
        with refused("no weights"):
            bare.floating_position()
        laden = bare.with_masses(40 * WATER, [point(5, 0, 1)]).with_known_position()
        assert laden.water is not None
        assert laden.water.level == pytest.approx(1.0)

    def test_of_one_weight_too_many(self, prospect: TrialLoading) -> None:
        ((words, tone),) = forecast(
            prospect.with_masses(200 * WATER, [point(5, 0, 1)]).floating_position(), Lengths()
        )
        assert "too heavy" in words
        assert tone == "warning"

    def test_of_openings_that_let_water_in(self, prospect: TrialLoading) -> None:
        ways = [
            Opening("vent", point(5, 0, 1.4)),
            Opening("door", point(5, 0, 1.6)),
            Opening("hatch", point(5, 0, 1.4), weathertight=True),
        ]
        afloat = prospect.with_masses(20 * WATER, [point(5, 0, 1)]).floating_position()
        reported = forecast(afloat, Lengths(), ways)
        assert [word for word, tone in reported if tone == "warning"] == ["vent under water"]


def test_a_place_in_words() -> None:
    assert (
        place_words(point(3.2, -1.1, 0.9), Lengths()) == "x 3.20 m, 1.10 m to starboard, z 0.90 m"
    )
    assert place_words(point(3.2, 0.001, 0.9), Lengths()) == "x 3.20 m, on the centerline, z 0.90 m"


class TestGhost:
    COMPARTMENT = Box(0, 0, 1000, 1000)

    @staticmethod
    def size(text: str, size: float) -> tuple[float, float]:
        return 0.5 * size * len(text), 0.7 * size

    def ghost(self, *place: float) -> DropPreview:
        rows = (("Weight 100 kg", "plain"), ("sinks", "warning"))
        return DropPreview("weight", np.array([place]), 1.0, rows)

    def test_words_stay_in_the_space(self) -> None:
        for place in ((1.0, 1.0, 0.0), (99.0, 99.0, 0.0), (99.0, 0.5, 0.0)):
            laid = self.ghost(*place).picture(plan(), Style(ON_DARK), self.COMPARTMENT, self.size)
            for label in laid.labels:
                wide, high = self.size(label.text, label.size)
                assert 0 < label.at[0] < 1000 - wide
                assert 0 < label.at[1] < 1000 - high
            assert [label.color for label in laid.labels] == [ON_DARK.ink, ON_DARK.warning]
            assert laid.labels[0].at[1] > laid.labels[1].at[1]

    def test_is_as_large_as_the_ball(self) -> None:
        laid = self.ghost(50, 50, 0).picture(plan(), Style(ON_DARK), self.COMPARTMENT, self.size)
        segments = np.concatenate(
            [ink.segments for ink in laid.primitives if isinstance(ink, Stroke)]
        )
        assert segments.reshape(-1, 2).min(axis=0) == pytest.approx((490, 490), abs=0.2)
        assert segments.reshape(-1, 2).max(axis=0) == pytest.approx((510, 510), abs=0.2)

    def test_of_an_opening_is_a_cross(self) -> None:
        rows = (("Opening", "plain"),)
        ghost = DropPreview("opening", np.array([[50.0, 50.0, 0.0]]), 1.0, rows)
        laid = ghost.picture(plan(), Style(ON_DARK), self.COMPARTMENT, self.size)
        drawn = [ink.segments for ink in laid.primitives if isinstance(ink, Stroke)]
        assert [segments.tolist() for segments in drawn[::2]] == [
            pytest.approx(np.array([[[490, 500], [510, 500]]])),
            pytest.approx(np.array([[[500, 490], [500, 510]]])),
            pytest.approx(np.array([[[500, 500], [500, 500]]])),
        ]

    def test_behind_the_eye_is_nothing(self) -> None:
        behind = np.diag([0.1, 0.1, 0.1, -1.0])
        view = View(behind, 1000, 1000)
        laid = self.ghost(50, 50, 0).picture(view, Style(ON_DARK), self.COMPARTMENT, self.size)
        assert laid.primitives == laid.labels == ()
