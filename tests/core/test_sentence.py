"""Sentences said in SI units, in other units and in another language."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from addon.core.messages.findings import BadInputError
from addon.core.messages.sentence import (
    Quantity,
    Sentence,
    coordinates,
    counted,
    cubic_meters,
    joined,
    kilograms,
    meter_radians,
    meters,
    millimeters,
    place,
    square_meters,
    tonnes,
)
from addon.files.input_errors import within
from addon.units.lengths import Lengths
from addon.units.quantities import Units

FEET = Lengths("IMPERIAL", "FEET", chosen_mass="POUNDS")


def in_feet(quantity: Quantity) -> str:
    """International feet of 0.3048 m (NIST Handbook 44, appendix C)."""
    assert quantity.kind == "length"
    return f"{quantity.value / 0.3048:.1f} ft"


@pytest.mark.parametrize(
    ("quantity", "written"),
    (
        (meters(0.1), "0.10 m"),
        (meters(-0.00321), "0.0032 m"),
        (meters(0.0), "0.00 m"),
        (meters(-1.5, ".3g"), "-1.5 m"),
        (meters(2.0, ".2f", unit=""), "2.00"),
        (millimeters(0.076), "76 mm"),
        (square_meters(0.05, "g"), "0.05 m2"),
        (cubic_meters(1234.0, ".3g"), "1.23e+03 m3"),
        (kilograms(85.2, ".3g"), "85.2 kg"),
        (tonnes(1251.0, ".4g"), "1.251 t"),
        (meter_radians(0.0551, ".3g"), "0.0551 m rad"),
    ),
)
def test_quantities_in_si(quantity: Quantity, written: str) -> None:
    assert str(quantity) == f"{quantity}" == written
    assert Sentence("{q}", q=quantity) == written


@pytest.mark.wording
def test_a_sentence_is_its_text_in_si() -> None:
    run_command = Sentence("'{part}' is {far} to {side}", part="mast", far=meters(1.5), side="port")
    assert run_command == str(run_command) == "'mast' is 1.50 m to port"
    assert json.dumps({"text": run_command}) == '{"text": "\'mast\' is 1.50 m to port"}'
    assert run_command.rendered(str) == run_command


@given(st.text(), st.floats(-1e6, 1e6))
def test_names_are_kept_as_they_are(name: str, length: float) -> None:
    run_command = Sentence("'{name}' {far}", name=name, far=meters(length, ".3f"))
    assert run_command == f"'{name}' {length:.3f} m"
    reported = run_command.rendered(in_feet, lambda template: f"{template}!")
    assert reported == f"'{name}' {length / 0.3048:.1f} ft!"


@pytest.mark.wording
def test_other_units_reach_into_what_a_sentence_is_made_of() -> None:
    run_command = joined(
        "{before}; {after}",
        (
            Sentence("under water {place}", place=place(np.array([3.048, -0.3048, 0.0]))),
            Sentence(""),
            Sentence("put it at {place}", place=coordinates(np.array([0.6096, 0.0, 0.3048]))),
        ),
    )
    assert run_command == (
        "under water at x 3.05 m, 0.30 m to starboard, z 0.00 m; put it at x 0.61, y 0.00, z 0.30 m"
    )
    assert run_command.rendered(in_feet) == (
        "under water at x 10.0 ft, 1.0 ft to starboard, z 0.0 ft; "
        "put it at x 2.0 ft, y 0.0 ft, z 1.0 ft"
    )
    on_center = place(np.array([1.0, 0.004, 2.0]))
    assert on_center == "at x 1.00 m, on the centerline, z 2.00 m"


@pytest.mark.wording
def test_another_language_has_its_own_order() -> None:
    german = {
        "Moving '{weight}' {far} {way} {effect}": "{effect}: '{weight}' um {far} {way} rücken",
        "forward": "nach vorn",
        "brings the vessel to an even keel": "Ebener Kiel",
    }
    run_command = Sentence(
        "Moving '{weight}' {far} {way} {effect}",
        weight="forward",
        far=meters(6.096),
        way=Sentence("forward"),
        effect=Sentence("brings the vessel to an even keel"),
    )
    assert run_command == "Moving 'forward' 6.10 m forward brings the vessel to an even keel"
    reported = run_command.rendered(in_feet, lambda text: german.get(text, text))
    assert reported == "Ebener Kiel: 'forward' um 20.0 ft nach vorn rücken"


@pytest.mark.wording
def test_counts_and_nothing_to_join() -> None:
    faces = "{count} face", "{count} faces"
    assert [counted(count, *faces) for count in (0, 1, 2)] == ["0 faces", "1 face", "2 faces"]
    assert joined("{before}, {after}", ()) == ""


@pytest.mark.wording
def test_a_complaint_carries_its_sentence() -> None:
    wrong = Sentence("the height is {height}; give more", height=meters(-1.0, "g"))
    with pytest.raises(BadInputError) as caught, within("boat.toml"), within(""):
        raise BadInputError(wrong)
    assert str(caught.value) == "boat.toml: the height is -1 m; give more"
    line = caught.value.line
    assert isinstance(line, Sentence)
    assert Units(FEET).text(line) == "boat.toml: the height is -3' 3.4\"; give more"
    assert BadInputError("plain").line == "plain"


@pytest.mark.parametrize(
    ("lengths", "run_command"),
    (
        (Lengths(), "3.0480 m, 1.2e-05 m, 2.00 m³, 500 kg"),
        (Lengths("METRIC", "CENTIMETERS"), "304.8 cm, 0.0012 cm, 2.00 m³, 500 kg"),
        (Lengths("IMPERIAL", "FEET"), '10\' 0.0", 0.00047", 70.6 ft³, 1102 lb'),
        (
            Lengths("IMPERIAL", "INCHES", chosen_mass="TONNES"),
            '120.0", 0.00047", 70.6 ft³, 0.5512 tn',
        ),
    ),
)
def test_overlay_words_in_scene_units(lengths: Lengths, run_command: str) -> None:
    reported = Sentence(
        "{length}, {slight}, {volume}, {mass}",
        length=meters(3.048, ".4f"),
        slight=meters(1.2e-5, ".1e"),
        volume=cubic_meters(2.0, ".2f"),
        mass=tonnes(500.0, ".3g"),
    )
    assert reported == "3.0480 m, 1.2e-05 m, 2.00 m3, 0.5 t"
    assert Units(lengths).text(reported) == run_command


@pytest.mark.parametrize(
    ("system", "chosen", "mass", "shown"),
    (
        ("METRIC", "ADAPTIVE", 999.4, "999 kg"),
        ("METRIC", "ADAPTIVE", 1250.0, "1.25 t"),
        ("METRIC", "KILOGRAMS", 12500.0, "12500 kg"),
        # short tons of 2000 pounds of 0.45359237 kg (NIST Handbook 44, appendix C)
        ("IMPERIAL", "ADAPTIVE", 907.0, "2000 lb"),
        ("IMPERIAL", "ADAPTIVE", 1814.36948, "2 tn"),
        ("IMPERIAL", "CENTUM_WEIGHTS", 45.359237, "1 cwt"),
    ),
)
def test_masses_of_the_overlay(system: str, chosen: str, mass: float, shown: str) -> None:
    assert Lengths(system, chosen_mass=chosen).mass(mass) == shown
