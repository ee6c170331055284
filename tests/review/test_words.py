"""Vocabulary found by id, by name, and from a typing slip."""

from witnessmark.knowledge.vocabulary import vocabulary
from witnessmark.review.words import component_names, find, nearest, quantity_names, unit_names


def test_every_id_and_every_name_finds_its_id() -> None:
    for names in (component_names(), quantity_names(), unit_names(), vocabulary().conditions):
        for key, name in names.items():
            assert find(key, names) == key
            assert find(name.upper(), names) == key


def test_typing_slips_are_not_found_but_near() -> None:
    assert find("fork oil sael", component_names()) is None
    assert nearest("fork oil sael", component_names())[0] == "fork oil seal"
    assert "drive chain" in nearest("chian", component_names())


def test_a_part_of_a_name_is_near() -> None:
    assert "rear brake pedal" in nearest("pedal", component_names())


def test_nothing_is_near_nonsense_or_nothing() -> None:
    assert nearest("qqqqqq", component_names()) == ()
    assert nearest("", component_names()) == ()
