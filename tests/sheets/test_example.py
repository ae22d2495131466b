"""The example in the package's own documentation runs as it is written."""

import doctest

import gatherfold.sheets


def test_the_documented_example_gives_what_it_says() -> None:
    failed, tried = doctest.testmod(gatherfold.sheets)
    assert tried >= 8 and failed == 0
