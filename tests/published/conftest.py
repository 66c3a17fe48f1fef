"""The comparison that every published check makes."""

from __future__ import annotations

from collections.abc import Callable
from inspect import cleandoc

import pytest

Check = Callable[..., None]


@pytest.fixture
def check(record_property: Callable[[str, object], None], request: pytest.FixtureRequest) -> Check:
    """`check(what, ours, printed, exact=None, within=None, facets=1e-6)`.

    `printed` is the source's own figure, met to half a unit of its last digit, or to `within`
    where the source rounds more or leaves out an effect that the hull has. `exact` is the closed
    form, met to the relative error `facets`, which allows for the flat faces of a curved body.
    """
    subject, source = sections(request.function.__doc__)

    def compare(
        what: str,
        ours: float,
        printed: str = "",
        exact: float | None = None,
        within: float | None = None,
        facets: float = 1e-6,
    ) -> None:
        given = f"{printed} ± {within:.2g}" if printed and within is not None else printed
        closed = "" if exact is None else f"{exact:.7g}"
        found = f"{ours:.7g}" if abs(ours) > 1e-12 else "0"
        row = (subject, what, source, given, closed, found, request.function.__name__)
        record_property("check", row)
        if printed:
            half_a_unit = 0.5 * 10.0 ** -len(printed.partition(".")[2])
            allowed = half_a_unit * (1 + 1e-6) if within is None else within
            assert ours == pytest.approx(float(printed), rel=0, abs=allowed), what
        if exact is not None:
            assert ours == pytest.approx(exact, rel=facets, abs=1e-3 * facets), what

    return compare


def sections(docstring: str) -> tuple[str, str]:
    """A test's subject, and the source that its docstring must name."""
    subject, _, rest = cleandoc(docstring).partition("\n\n")
    head, marker, source = rest.partition("Source: ")
    assert marker and not head, f"no source named: {subject}"
    return " ".join(subject.split()), " ".join(source.partition("\n\n")[0].split())
