"""Words that corrective actions share: masses, directions, a GM that is reached."""

from __future__ import annotations

from ..messages.sentence import Quantity, Sentence, kilograms, meters, tonnes

DIRECTION_TEXTS = (
    (Sentence("forward"), Sentence("aft")),
    (Sentence("to port"), Sentence("to starboard")),
    (Sentence("up"), Sentence("down")),
)


def GM_text(GM: float) -> Sentence:
    """That an action brings GM to a value (m)."""
    return Sentence("brings GM to {GM}", GM=meters(GM, ".2f"))


def direction_text(axis: int, shift: float) -> Sentence:
    """The direction of a shift (m) along an axis of the ship."""
    return DIRECTION_TEXTS[axis][0] if shift > 0 else DIRECTION_TEXTS[axis][1]


def mass_quantity(mass: float) -> Quantity:
    """'85 kg', '1.25 t'."""
    return kilograms(mass, ".3g") if mass < 1000 else tonnes(mass, ".4g")
