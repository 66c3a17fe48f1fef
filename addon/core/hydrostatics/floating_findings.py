"""Findings on the floating position of a vessel: each says what is wrong, and by how much."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from ..arrays import Floats
from ..buoyancy.attitude import Attitude
from ..buoyancy.immersion import Immersion
from ..messages.findings import Finding
from ..messages.sentence import PORT, STARBOARD, Sentence, end_of, meters, place, side_of, tonnes
from ..messages.subjects import Subject
from ..model.case import Case
from ..model.hull_openings import HULL_OPENING_NAMES, OpenPlace
from ..model.openings import Opening
from .equilibrium import Equilibrium
from .particulars import Hydrostatics
from .upright import UPRIGHT_TOLERANCE, upright_GM

NEUTRAL_STIFFNESS_SHARE = 1e-5
"""Least GM over the breadth up to which the vessel has no preferred attitude."""
MIN_GM = 0.15
"""Initial GM (m) that 2008 IS Code, part A, 2.2.4, asks for."""
MIN_GM_SHIP_LENGTH = 24.0
"""Length (m) of the ships of which the IS Code asks `MIN_GM`."""
GM_TOLERANCE = 1e-6
"""Amount (m) by which GM may fall short unseen."""
REPORTED_TRIM_SHARE = 0.01
"""Trim over the length from which it is reported."""
ON_END_TRIM = 80.0
"""Trim angle (degrees) beyond which a vessel stands on end."""
OFF_CENTER_SHARE = 1e-3
"""Share of the breadth that weight may be off center."""


def sunk_finding(case: Case, mass: float) -> Finding:
    """That the vessel of a mass (kg) sinks, and by how much it is too heavy."""
    most = case.hull.volume * case.water_density
    return _warning(
        "sunk",
        Sentence(
            "Sinks: the vessel weighs {mass}, and wholly under water displaces only {most}; take "
            "off {excess} or enlarge the hull",
            mass=tonnes(mass, ".4g"),
            most=tonnes(most, ".4g"),
            excess=tonnes(mass - most, ".3g"),
        ),
    )


def swamped_finding(where: OpenPlace, lowest: Floats, height: float) -> Finding:
    """That an opening of the hull itself, its lowest point (3,) at a negative height over water
    (m), lets water in."""
    words = "Swamped: the open edge is {depth} under water {place}, and the hull fills there"
    if where != "top":
        words = "Fills: a {opening} is {depth} under water {place}, and water comes in there"
    return _warning(
        "swamped",
        Sentence(
            words,
            opening=HULL_OPENING_NAMES[where],
            depth=meters(-height, ".3g"),
            place=place(lowest),
        ),
        lowest,
    )


def opening_findings(attitude: Attitude, immersed: Iterable[Opening]) -> Iterator[Finding]:
    """Openings that are under water, and how deep."""
    for opening in immersed:
        heights = attitude.heights(opening.points)
        depth, lowest = -float(heights.min()), opening.points[heights.argmin()]
        yield _warning(
            "opening-under",
            Sentence(
                "Opening '{opening}' is {depth} under water {place}, closed weathertight"
                if opening.weathertight
                else "Opening '{opening}' is {depth} under water {place}, and water comes in there",
                opening=Subject("opening", opening.name),
                depth=meters(depth, ".3g"),
                place=place(lowest),
            ),
            lowest,
        )


def not_converged_finding(equilibrium: Equilibrium) -> Finding:
    """That no equilibrium was found, and what it lacks."""
    return _warning(
        "not-converged",
        Sentence(
            "No equilibrium found in {steps} steps: buoyancy is {share} of the weight off and "
            "B {arm} off G",
            steps=equilibrium.iterations,
            share=f"{equilibrium.volume_residual:.1e}",
            arm=meters(equilibrium.lever_residual, ".1e"),
        ),
    )


def neutral_finding() -> Finding:
    """That the vessel has no preferred attitude."""
    return _warning("neutral", Sentence("Neutral equilibrium: once turned, the vessel stays so"))


def deck_finding(figures: Hydrostatics) -> Finding:
    """That the deck edge is under water, and how deep."""
    return _warning(
        "deck-under",
        Sentence(
            "Deck edge {depth} under water {place}",
            depth=meters(-figures.freeboard_min, ".3g"),
            place=place(figures.freeboard_min_at),
        ),
        figures.freeboard_min_at,
    )


def attitude_findings(
    case: Case, attitude: Attitude, figures: Hydrostatics, even_keel: Immersion, GM_fluid: float
) -> Iterator[Finding]:
    """Findings on list, trim and GM (m), against the vessel held upright, `even_keel`."""
    heel, trim = np.degrees([attitude.heel_rad, attitude.trim_rad])
    ahead, aside, _ = case.load.solid.center - even_keel.buoyancy
    upright_gm = upright_GM(case, even_keel)
    angle, side = f"{abs(heel):.1f}", STARBOARD if heel > 0 else PORT
    lopsided = abs(aside) > OFF_CENTER_SHARE * case.hull.breadth
    if abs(trim) > ON_END_TRIM:
        yield _warning("on-end", Sentence("Stands on the {end}", end=end_of(trim)))
    elif abs(heel) > 90:
        words = Sentence(
            "Capsized: the equilibrium is {angle} degrees over to {side}", angle=angle, side=side
        )
        yield _warning("capsized", words)
    elif abs(attitude.heel_rad) > UPRIGHT_TOLERANCE:
        if upright_gm < 0:
            yield _warning(
                "loll",
                Sentence(
                    "Lolls {angle} degrees to {side}: upright GM is -{lacking}, so weight must "
                    "come down until G is at least {lacking} lower",
                    angle=angle,
                    side=side,
                    lacking=meters(upright_gm),
                ),
            )
        if upright_gm >= 0 or lopsided:
            yield _warning(
                "list",
                Sentence(
                    "Lists {angle} degrees to {side}: weight is {far} off center to {heavy}",
                    angle=angle,
                    side=side,
                    far=meters(aside),
                    heavy=side_of(aside),
                ),
            )
    if abs(trim) <= ON_END_TRIM and abs(figures.trim) > REPORTED_TRIM_SHARE * case.hull.length_pp:
        yield _warning("trim", _trim_text(figures.trim, ahead))
    if GM_fluid < MIN_GM - GM_TOLERANCE and abs(heel) <= 90:
        yield _warning(
            "tender",
            Sentence(
                "Tender: GM is {GM} (the 2008 IS Code, A 2.2, asks ships of {length} and more for "
                "{least})",
                GM=meters(GM_fluid, ".3f"),
                length=meters(MIN_GM_SHIP_LENGTH, "g"),
                least=meters(MIN_GM, "g"),
            ),
        )


def _trim_text(trim: float, ahead: float) -> Sentence:
    """The finding on trim, and whether the weight offset `ahead` (m) of B explains it."""
    if not ahead * trim < 0:
        template = "Trims {trim} by the {end}, by the shape of the heeled hull"
        return Sentence(template, trim=meters(trim), end=end_of(trim))
    return Sentence(
        "Trims {trim} by the stern: weight is {far} aft of the buoyancy of an even keel"
        if trim > 0
        else "Trims {trim} by the bow: weight is {far} forward of the buoyancy of an even keel",
        trim=meters(trim),
        far=meters(ahead),
    )


def _warning(code: str, text: Sentence, point: Floats | None = None) -> Finding:
    if point is None:
        return Finding("warning", code, text)
    return Finding("warning", code, text, points=point[None])
