"""Words of the trade in the US."""

from __future__ import annotations

from leakmap.base.measures import Units
from leakmap.base.trade_words import US_WORDS, in_trade_words
from leakmap.model.words import Face, Kind, Method


def test_every_word_is_said_the_other_way_and_only_whole_words() -> None:
    """Each word of the table is replaced where it stands alone, and keeps its capital; parts of words stay."""
    for word, us in US_WORDS.items():
        assert in_trade_words(Units.IMPERIAL, f"{word}, {word.capitalize()}") == f"{us}, {us.capitalize()}"
        assert in_trade_words(Units.METRIC, word) == word
    assert in_trade_words(Units.IMPERIAL, "slotted kilometres") == "slotted kilometres"


def test_no_word_of_the_us_is_changed_again() -> None:
    """What was said once may be said again: nothing in the right column stands in the left one."""
    for words in (*US_WORDS, *Kind, *Face, *Method):
        said = in_trade_words(Units.IMPERIAL, words)
        assert in_trade_words(Units.IMPERIAL, said) == said


def test_words_of_the_lists_are_those_of_the_trade() -> None:
    """Wall-base joints are cove joints, soffits undersides, and slots grooves; the values that files hold stay."""
    assert in_trade_words(Units.IMPERIAL, Kind.WALL_BASE) == "cove"
    assert in_trade_words(Units.IMPERIAL, Face.SOFFIT) == "underside"
    assert in_trade_words(Units.IMPERIAL, Method.DEEP_PLUG_RELIEF) == "deep groove + plug + relief"
    assert Kind("wall-base") is Kind.WALL_BASE
