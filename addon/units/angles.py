"""Angles at the edge: degrees as people write them."""

from __future__ import annotations

from math import degrees, inf, nextafter, radians


def exact_degrees(angle: float) -> float:
    """Degrees of an angle (rad) that give it back to the last digit, where there are such.

    Those with few digits come first: 30, not 29.999999999999996.
    """
    near = degrees(angle)
    tried = (round(near, 9), near, nextafter(near, -inf), nextafter(near, inf))
    return next((each for each in tried if radians(each) == angle), near)


def angle(radian: float) -> str:
    """An angle (rad) in degrees, without its sign: 12.3°."""
    return f"{abs(degrees(radian)):.1f}°"
