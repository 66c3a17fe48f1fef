"""Published criteria, one module a code, and those of the user's own."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from ..criterion import Verdict
from ..names import check_known
from ..particulars import Particulars
from ..rules import OwnRule
from . import (
    is_code_general,
    is_code_passengers,
    is_code_weather,
    us_righting,
    us_small_boat,
    us_small_passenger,
    us_weather,
)
from .own import check_own


@dataclass(frozen=True)
class Code:
    """A published code: its key in case files, its title, and the ships it speaks of.

    `check` answers every criterion of the code; asked for as a yardstick, for ships outside
    its scope too.
    """

    key: str
    title: str
    scope: str
    check: Callable[[Particulars, bool], tuple[Verdict, ...]]


CODES = (
    Code(
        "is-code-2.2",
        is_code_general.TITLE,
        "Curve of righting arms: cargo and passenger ships of 24 m and more",
        is_code_general.check,
    ),
    Code(
        "is-code-2.3",
        is_code_weather.TITLE,
        "Severe wind and rolling: cargo and passenger ships of 24 m and more",
        is_code_weather.check,
    ),
    Code(
        "is-code-3.1",
        is_code_passengers.TITLE,
        "Crowding and turning: passenger ships of 24 m and more",
        is_code_passengers.check,
    ),
    Code(
        "46-cfr-170.170",
        us_weather.TITLE,
        "GM in the wind: inspected vessels of any size",
        us_weather.check,
    ),
    Code(
        "46-cfr-170.173",
        us_righting.TITLE,
        "Curve of righting arms: mechanically powered vessels of less than 100 m, not tugs",
        us_righting.check,
    ),
    Code(
        "46-cfr-178.330",
        us_small_passenger.TITLE,
        "Crowd and wind: passenger vessels of no more than 65 feet and 150 passengers",
        us_small_passenger.check,
    ),
    Code(
        "33-cfr-183",
        us_small_boat.TITLE,
        "Weight and persons: single-hulled boats for pleasure of less than 20 feet, not under sail",
        us_small_boat.check,
    ),
)


def check_criteria(
    ship: Particulars, codes: Iterable[str] | None = None, own: Iterable[OwnRule] = ()
) -> tuple[Verdict, ...]:
    """Verdicts of the codes named, or of all when None, and of the user's own criteria.

    A code that is named is a yardstick even for a ship outside its scope. Raises
    BadInputError for a code that is not known.
    """
    known = {code.key: code for code in CODES}
    named = list(known) if codes is None else list(codes)
    for key in named:
        check_known("criteria", "code", key, known)
    verdicts = [verdict for key in named for verdict in known[key].check(ship, codes is not None)]
    return (*verdicts, *(verdict for rule in own for verdict in check_own(ship, rule)))
