"""Published criteria, one module a code, and those of the user's own."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from ..criterion import Verdict
from ..names import check_known
from ..particulars import Particulars
from ..rules import OwnRule


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


CODES: tuple[Code, ...] = ()


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
    return tuple(verdicts)
