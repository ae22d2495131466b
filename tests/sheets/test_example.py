"""The example in the package's own documentation runs as it is written."""

import doctest

import builder.sheets


def test_the_documented_example_gives_what_it_says() -> None:
    failed, tried = doctest.testmod(builder.sheets)
    assert tried >= 8 and failed == 0
