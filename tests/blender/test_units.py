"""What the interface says of a ship is in the units of the scene, sentences of the core too."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import bpy
import numpy as np
import pytest
import scene_ships as ships
from test_compartments import across, breached, empty, open_above
from test_panels import PANELS, drawn

from addon.blender.controller import corrective_actions, session
from addon.blender.properties.names import Role
from addon.blender.properties.settings import scene_settings, settings
from addon.blender.wording import reported
from addon.core.messages.findings import BadInputError
from addon.core.messages.sentence import (
    UNIT_OF_AREA,
    UNIT_OF_LENGTH,
    Quantity,
    Sentence,
    coordinates,
    cubic_meters,
    meter_radians,
    meters,
    millimeters,
    square_meters,
    tonnes,
)
from addon.units.quantities import Units
from tests.language import reads

pytestmark = pytest.mark.slow

CALL = bpy.ops.naval_checks
SI = re.compile(r"\d ?(?:mm|cm|m|m2|m²|m3|m³|L|kg|t)(?![\w/'])")


@pytest.fixture(autouse=True)
def imperial() -> Iterator[None]:
    bpy.context.scene.unit_settings.system = "IMPERIAL"
    yield
    corrective_actions.forget()


def box() -> bpy.types.Object:
    obj = ships.hull()
    settings(obj).form.forward, settings(obj).form.up = "X", "Z"
    ships.activate(obj)
    return obj


def codes(hull: bpy.types.Object) -> set[str]:
    return {finding.code for finding in session.entry_for(hull).findings}


def listing() -> None:
    """Down by the bow and to port, with an opening under water and a deckhouse."""
    obj = ships.outfitted()
    ships.weight("cargo", 2600, (3.6, 1.3, 0.5))
    ships.opening("scupper", (5.9, 2.0, 0.5))
    settings(obj).service.kind = "PASSENGER"
    CALL.compute()
    assert {"list", "trim", "opening-under"} <= codes(obj)
    for index in range(len(session.entry_for(obj).assessment.verdicts)):
        scene_settings(bpy.context.scene).active_verdict = index
        check()


def tender() -> None:
    """Too little GM, so that it lolls and asks for ballast."""
    obj = box()
    ships.weight("ship", 6000, (3, 1, 1.0))
    CALL.compute()
    assert {"loll", "tender"} & codes(obj)


def sunk() -> None:
    box()
    ships.weight("ship", 13000, (3, 1, 0.3))
    CALL.compute()


def leaky() -> None:
    """A hole in its bulkhead and no deck over the after compartment: water gets in."""
    obj = box()
    ships.weight("ship", 3000, (3, 1, 0.3))
    open_above(obj)
    breached(across("aft", 2.0))
    bpy.context.view_layer.update()
    CALL.compute()
    CALL.find_compartments()
    assert "open-edge" in codes(obj) and session.entry_for(obj).plan.leaks
    for index in range(len(session.entry_for(obj).plan.leaks)):
        CALL.show_leak(index=index)
    for index in range(len(session.entry_for(obj).findings)):
        CALL.select_finding(index=index)


def flooded() -> None:
    """Compartments flooded one by one and in time, and bulkheads advised."""
    obj = box()
    ships.weight("ship", 6000, (3, 1, 0.3))
    across("aft", 2.0)
    across("forward", 4.0)
    empty("gash", (5, 0, 0.1), Role.BREACH)
    ships.opening("pipe", (3, 1.9, 1.1))
    bpy.context.view_layer.update()
    CALL.compute()
    CALL.find_compartments()
    CALL.flood_each()
    for index in range(len(session.entry_for(obj).floodings)):
        CALL.show_flooding(index=index)
        check()
    ships.activate(bpy.data.objects["gash"])
    CALL.time_to_flood()
    CALL.play_flooding()
    markers = [marker.name for marker in bpy.context.scene.timeline_markers]
    assert markers and not SI.search(" ".join(markers).replace(" min", ""))
    CALL.suggest_bulkheads(count=1)
    CALL.find_floodable_length()


def check() -> None:
    for label in PANELS:
        labels = [part if isinstance(part, str) else part[1] for part in drawn(label)]
        assert [text for text in labels if SI.search(" ".join(text.split()))] == []


@pytest.mark.parametrize("ship", (listing, tender, sunk, leaky, flooded))
def test_nothing_is_written_in_meters_or_tonnes(
    ship: Callable[[], None], capfd: pytest.CaptureFixture[str]
) -> None:
    ship()
    check()
    reports = [line for line in capfd.readouterr().out.splitlines() if ": " in line]
    assert reports and [line for line in reports if SI.search(line)] == []


def test_what_is_wrong_is_reported_so_too() -> None:
    obj = box()
    ships.weight("ship", 3000, (3, 1, 0.3))
    across("aft", 2.0)
    ships.activate(empty("gash", (3, 1, 0.9), Role.BREACH))
    bpy.context.view_layer.update()
    CALL.compute()
    CALL.find_compartments()
    with pytest.raises(RuntimeError) as labels:
        CALL.time_to_flood()
    assert reads(str(labels.value), "from the boundaries of compartment") and not SI.search(
        str(labels.value)
    )
    assert session.entry_for(obj).flooding_history is None


SENTENCE = Sentence(
    "at {place}: {volume}, {area} or {unit}, {mass}, {below}, {slight}, {arms}, {moment} by {arm}",
    place=coordinates(np.array([1.5, -0.3, 0.2])),
    volume=cubic_meters(2.0, ".2f"),
    area=square_meters(0.5, "g"),
    unit=UNIT_OF_AREA,
    mass=tonnes(500.0, "g"),
    below=millimeters(0.076),
    moment=Quantity("moment", 1000.0, "1 t"),
    arm=UNIT_OF_LENGTH,
    slight=meters(1.2e-5, ".1e"),
    arms=meter_radians(0.055, ".3g"),
)


@pytest.mark.parametrize(
    ("system", "unit", "run_command"),
    (
        (
            "METRIC",
            "METERS",
            "at x 1.50, y -0.30, z 0.20 m: 2.00 m³, 0.5 m² or m², 500 kg, 76 mm, 1.2e-05 m, "
            "0.0550 m rad, 1000 kg by 1 m",
        ),
        (
            "METRIC",
            "CENTIMETERS",
            "at x 150.00 cm, y -30.00 cm, z 20.00 cm: 2.00 m³, 0.5 m² or m², 500 kg, 7.60 cm, "
            "0.0012 cm, 0.0550 m rad, 1000 kg by 100.00 cm",
        ),
        (
            "IMPERIAL",
            "FEET",
            'at x 4\' 11.06", y -11.81", z 7.87": 70.6 ft³, 5.382 ft² or ft², 1102 lb, 2.99", '
            '0.00047", 0.1804 ft rad, 7233 lb by 1\' 0.00"',
        ),
    ),
)
@pytest.mark.wording
def test_sentences_in_scene_units(system: str, unit: str, run_command: str) -> None:
    chosen = bpy.context.scene.unit_settings
    chosen.system, chosen.length_unit = system, unit
    assert Units.of(bpy.context.scene).text(SENTENCE) == run_command
    assert reported(bpy.context, BadInputError(SENTENCE).line) == run_command
    assert reported(bpy.context, "{as it is}") == "{as it is}"
