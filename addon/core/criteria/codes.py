"""Published criteria, one module per code, and custom ones."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from ..messages.sentence import Sentence
from ..model.names import check_known
from ..model.user_criteria import CustomCriterion
from ..stability.heeling_levers import Lever
from . import (
    cfr_170_170_weather,
    cfr_170_173_gz_curve,
    cfr_178_330_passengers,
    cfr_183_small_boats,
    is_code_general,
    is_code_passengers,
    is_code_weather,
)
from .criteria_inputs import CriteriaInputs
from .user_criteria import check_custom, lever_of
from .verdict import Verdict


@dataclass(frozen=True)
class Code:
    """A published code: its key in case files, its title, and the vessels in its scope.

    `check` gives verdicts on every criterion of the code; as a yardstick, for vessels outside its
    scope too. `levers` are its heeling levers.
    """

    key: str
    title: str
    scope: str
    check: Callable[[CriteriaInputs, bool], tuple[Verdict, ...]]
    levers: Callable[[CriteriaInputs], tuple[Lever, ...]] = lambda ship: ()


CODES = (
    Code(
        "is-code-2.2",
        is_code_general.TITLE,
        "GZ curve: cargo and passenger ships of 24 m and more",
        is_code_general.check,
    ),
    Code(
        "is-code-2.3",
        is_code_weather.TITLE,
        "Severe wind and rolling: cargo and passenger ships of 24 m and more",
        is_code_weather.check,
        is_code_weather.levers,
    ),
    Code(
        "is-code-3.1",
        is_code_passengers.TITLE,
        "Crowding and turning: passenger ships of 24 m and more",
        is_code_passengers.check,
        is_code_passengers.levers,
    ),
    Code(
        "46-cfr-170.170",
        cfr_170_170_weather.TITLE,
        "GM in the wind: inspected vessels of any size",
        cfr_170_170_weather.check,
    ),
    Code(
        "46-cfr-170.173",
        cfr_170_173_gz_curve.TITLE,
        "GZ curve: mechanically powered vessels of less than 100 m, not tugs",
        cfr_170_173_gz_curve.check,
    ),
    Code(
        "46-cfr-178.330",
        cfr_178_330_passengers.TITLE,
        "Crowd and wind: single-hulled passenger vessels of up to 65 feet and 150 passengers",
        cfr_178_330_passengers.check,
        cfr_178_330_passengers.levers,
    ),
    Code(
        "33-cfr-183",
        cfr_183_small_boats.TITLE,
        "Weight and persons: single-hulled boats for pleasure of less than 20 feet, not under sail",
        cfr_183_small_boats.check,
    ),
)


def check_criteria(
    ship: CriteriaInputs, codes: Iterable[str] | None = None, custom: Iterable[CustomCriterion] = ()
) -> tuple[Verdict, ...]:
    """Verdicts of the codes named, or of all when None, and of custom criteria.

    A code that is named is a yardstick even for a vessel outside its scope. Raises BadInputError
    for an unknown code.
    """
    known = {code.key: code for code in CODES}
    named = list(known) if codes is None else list(codes)
    for key in named:
        check_known("criteria", "code", key, known)
    verdicts = [verdict for key in named for verdict in known[key].check(ship, codes is not None)]
    return (
        *verdicts,
        *(verdict for criterion in custom for verdict in check_custom(ship, criterion)),
    )


def check_sides(
    weaker: CriteriaInputs,
    other: CriteriaInputs,
    name: str,
    codes: Iterable[str] | None = None,
    custom: Iterable[CustomCriterion] = (),
) -> tuple[Verdict, ...]:
    """Verdicts on the weaker side, as `check_criteria`, but on the other side where it does worse.

    An opening off the centerline, for example, may flood the side that has more area under its
    curve. Such a verdict states the `name` of that side.
    """
    codes, custom = None if codes is None else tuple(codes), tuple(custom)
    first, second = (
        {each.key: each for each in checked}
        for checked in (check_criteria(ship, codes, custom) for ship in (weaker, other))
    )
    for key, each in second.items():
        if key not in first or each.is_worse_than(first[key]):
            worse = each.noted(Sentence("heeled to {side}", side=name))
            first[key] = replace(worse, side=name)
    return tuple(first.values())


def heeling_levers(
    ship: CriteriaInputs, verdicts: Iterable[Verdict], custom: Iterable[CustomCriterion] = ()
) -> tuple[Lever, ...]:
    """The heeling levers, towards the side of `ship`, used by verdicts and by custom criteria."""
    judged = {each.code for each in verdicts if each.outcome in ("passes", "fails")}
    published = [lever for code in CODES if code.title in judged for lever in code.levers(ship)]
    return (*published, *(lever_of(ship, criterion) for criterion in custom if criterion.moment))
