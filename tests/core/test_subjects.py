"""What messages are about, whatever their words; keys that tell criteria apart."""

from __future__ import annotations

from addon.core.criteria.codes import CODES
from addon.core.messages.findings import BadInputError, Finding
from addon.core.messages.sentence import Sentence, called, joined, meters, named, subjects_of
from addon.core.messages.subjects import Subject
from tests.core.test_criteria import passenger, ship, sine

TANK, DOOR = Subject("tank", "fuel"), Subject("door", "aft")


def test_a_sentence_knows_what_it_is_about() -> None:
    inner = Sentence("{door} {far}", door=called(DOOR), far=meters(2.0))
    both = Sentence("{why}: '{tank}' {again} {name}", why=inner, tank=TANK, again=DOOR, name="x")
    assert both.subjects == (DOOR, TANK)
    assert joined("{before}, {after}", (both, called(TANK))).subjects == (DOOR, TANK)
    assert named("tank", ["fuel", "oil"]).subjects == (TANK, Subject("tank", "oil"))
    assert Finding("note", "x", both).subjects == (DOOR, TANK)
    assert BadInputError(both).subjects == (DOOR, TANK)


def test_words_alone_are_about_nothing() -> None:
    assert subjects_of("tank 'fuel'") == () == Sentence("tank '{name}'", name="fuel").subjects
    assert BadInputError("tank 'fuel'").subjects == ()


def test_a_subject_is_its_name_in_a_sentence_and_in_another_language() -> None:
    text = Sentence("{tank}", tank=TANK)
    assert text == "fuel"
    assert text.rendered(str, lambda template: f"<{template}>") == "<fuel>"


def test_keys_tell_all_criteria_apart() -> None:
    box = ship(sine(1.0), service=passenger(passengers=20, speed=5.0))
    found = [verdict for code in CODES for verdict in code.check(box, True)]
    keys = [verdict.key for verdict in found]
    assert len({*keys}) == len(keys) > 15
    for code in CODES:
        assert all(each.key.startswith(code.key) for each in code.check(box, True))
