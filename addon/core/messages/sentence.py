"""Sentences that can be written in other units and in another language.

A `Sentence` is its own text in SI units, as in headless output, and keeps its template and parts.
The interface writes it again with a formatter for quantities and a translation of its template.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import reduce
from math import floor, log10
from typing import Literal

from ..arrays import Floats
from .subjects import Subject, SubjectKind

QuantityKind = Literal[
    "length", "area", "volume", "mass", "arm area", "moment", "unit of length", "unit of area"
]
Translate = Callable[[str], str]


@dataclass(frozen=True)
class Quantity:
    """An amount in SI units (m, m2, m3, kg, m rad, kg m), and how it is written in them.

    A moment is written as the mass that has it at one unit of length.
    """

    kind: QuantityKind
    value: float
    written: str

    def __str__(self) -> str:
        return self.written


Write = Callable[[Quantity], str]


class Sentence(str):
    """A template with named places, and the values that fill them.

    Quantities are formatted and sentences translated anew for a user; names and figures stay as
    they are. A `Subject` among the values is what the sentence is about, whatever its text.
    """

    template: str
    values: dict[str, object]

    def __new__(cls, template: str, /, **values: object) -> Sentence:
        sentence = super().__new__(cls, filled(template, values))
        sentence.template, sentence.values = template, values
        return sentence

    def rendered(self, write: Write, translate: Translate = str) -> str:
        """The same text with quantities formatted by `write`, and translated."""

        def rendered_value(value: object) -> object:
            if isinstance(value, Sentence):
                return value.rendered(write, translate)
            return write(value) if isinstance(value, Quantity) else value

        values = {name: rendered_value(value) for name, value in self.values.items()}
        return filled(translate(self.template), values)

    @property
    def subjects(self) -> tuple[Subject, ...]:
        """What it is about, each once, in the order in which its places were filled."""
        found: dict[Subject, None] = {}
        for value in self.values.values():
            if isinstance(value, Subject):
                found[value] = None
            elif isinstance(value, Sentence):
                found |= dict.fromkeys(value.subjects)
        return tuple(found)


def filled(template: str, values: Mapping[str, object]) -> str:
    """A template with its places filled: the one place where a sentence becomes text."""
    return template.format(**values)


def subjects_of(text: str) -> tuple[Subject, ...]:
    """What a text is about, where it is a sentence that knows."""
    return text.subjects if isinstance(text, Sentence) else ()


def called(subject: Subject) -> Sentence:
    """What a subject is called: "weight 'anvil'"."""
    return Sentence("{kind} '{name}'", kind=WORDS[subject.kind], name=subject)


def named(kind: SubjectKind, names: Iterable[str]) -> Sentence:
    """Subjects of a kind, each in quotes: "'deck', 'bulkhead'"."""
    quoted = (Sentence("'{name}'", name=Subject(kind, name)) for name in names)
    return joined("{before}, {after}", quoted)


def joined(template: str, parts: Iterable[Sentence]) -> Sentence:
    """Parts in sequence, each with those `before` it in a template such as '{before}, {after}';
    empty without any."""
    parts = tuple(part for part in parts if part)
    if not parts:
        return Sentence("")
    return reduce(lambda before, after: Sentence(template, before=before, after=after), parts)


def counted(count: int, one: str, many: str) -> Sentence:
    """'1 face', '12 faces', from templates such as '{count} faces'."""
    return Sentence(one if count == 1 else many, count=count)


def meters(length: float, spec: str = "", unit: str = " m") -> Quantity:
    """A length in the format `spec`; without one by its size, '0.10 m' or '0.0032 m': at least two
    decimals and two digits."""
    if not spec:
        length = abs(length)
        spec = f".{max(2, 1 - floor(log10(length))) if length >= 1e-6 else 2}f"
    return Quantity("length", float(length), f"{length:{spec}}{unit}")


def millimeters(length: float) -> Quantity:
    """A length, written in whole millimeters."""
    return Quantity("length", length, f"{1000 * length:.0f} mm")


def square_meters(area: float, spec: str) -> Quantity:
    """An area."""
    return Quantity("area", float(area), f"{area:{spec}} m2")


def cubic_meters(volume: float, spec: str) -> Quantity:
    """A volume."""
    return Quantity("volume", float(volume), f"{volume:{spec}} m3")


def kilograms(mass: float, spec: str) -> Quantity:
    """A mass."""
    return Quantity("mass", float(mass), f"{mass:{spec}} kg")


def tonnes(mass: float, spec: str) -> Quantity:
    """A mass (kg), written in tonnes."""
    return Quantity("mass", float(mass), f"{mass / 1000:{spec}} t")


def meter_radians(area: float, spec: str) -> Quantity:
    """An area under a GZ curve."""
    return Quantity("arm area", float(area), f"{area:{spec}} m rad")


UNIT_OF_LENGTH = Quantity("unit of length", 1.0, "1 m")
UNIT_OF_AREA = Quantity("unit of area", 1.0, "m2")

WORDS: dict[SubjectKind, Sentence] = {
    "hull": Sentence("hull"),
    "weight": Sentence("weight"),
    "tank": Sentence("tank"),
    "opening": Sentence("opening"),
    "windage": Sentence("windage"),
    "boundary": Sentence("boundary"),
    "compartment": Sentence("compartment"),
    "door": Sentence("door"),
    "breach": Sentence("breach"),
    "group": Sentence("group"),
    "condition": Sentence("condition"),
    "criterion": Sentence("criterion"),
}
"""What a kind of subject is called."""

PORT, STARBOARD = Sentence("port"), Sentence("starboard")
BOW, STERN = Sentence("bow"), Sentence("stern")


def place(point: Floats) -> Sentence:
    """'at x 3.20 m, 1.10 m to port, z 0.90 m'."""
    x, y, z = point
    aside = Sentence("{far} to {side}", far=meters(abs(y), ".2f"), side=side_of(y))
    if abs(y) < 0.005:
        aside = Sentence("on the centerline")
    return Sentence("at x {x}, {aside}, z {z}", x=meters(x, ".2f"), aside=aside, z=meters(z, ".2f"))


def coordinates(point: Floats) -> Sentence:
    """'x 3.20, y 1.10, z 0.90 m'."""
    x, y = (meters(along, ".2f", unit="") for along in point[:2])
    return Sentence("x {x}, y {y}, z {z}", x=x, y=y, z=meters(point[2], ".2f"))


def side_of(y: float) -> Sentence:
    """The side of a place or a weight, from its y."""
    return PORT if y > 0 else STARBOARD


def end_of(trim: float) -> Sentence:
    """The end by which the vessel trims, from the sign of the trim."""
    return STERN if trim > 0 else BOW
