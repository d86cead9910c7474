"""A problem that makes no sense is refused in one clear sentence."""

from __future__ import annotations

import re

import pytest

from planner.nesting import Options, Piece, Stock, solve

GOOD_PIECE = Piece("a", 5, 5)
GOOD_STOCK = Stock("s", 10, 10, None, 1.0)


@pytest.mark.parametrize(
    ("pieces", "stocks", "options", "sentence"),
    [
        ([GOOD_PIECE, GOOD_PIECE], [], Options(), "There are two pieces named 'a'; names must be unique."),
        ([], [GOOD_STOCK, GOOD_STOCK], Options(), "There are two stocks named 's'; names must be unique."),
        (
            [Piece("a", 0, 5)],
            [],
            Options(),
            "The size of piece 'a' is 0 x 5; width and height must be positive.",
        ),
        (
            [],
            [Stock("s", 3, -1, 1, 1.0)],
            Options(),
            "The size of stock 's' is 3 x -1; width and height must be",
        ),
        (
            [],
            [Stock("s", 3, 1, 1, float("nan"))],
            Options(),
            "The cost of stock 's' is nan; it must be a number",
        ),
        (
            [],
            [Stock("s", 3, 1, 1, float("inf"))],
            Options(),
            "The cost of stock 's' is inf; it must be a number",
        ),
        ([], [Stock("s", 3, 1, 1, -0.5)], Options(), "The cost of stock 's' is -0.5; it must be a number"),
        (
            [],
            [Stock("s", 3, 1, -1, 1.0)],
            Options(),
            "The count of stock 's' is -1; it must not be negative.",
        ),
        ([], [], Options(spacing=-1), "The spacing is -1; it must not be negative."),
        ([], [], Options(iterations=-1), "The number of iterations is -1; it must not be negative."),
        ([], [], Options(seconds=-1.0), "The limit in seconds is -1.0; it must be a number that is not"),
        (
            [],
            [],
            Options(seconds=float("nan")),
            "The limit in seconds is nan; it must be a number that is not",
        ),
        ([], [], Options(keep=(0, 4)), "The size of the leftover to keep is 0 x 4; width and height must be"),
    ],
)
def test_refused(pieces: list[Piece], stocks: list[Stock], options: Options, sentence: str) -> None:
    with pytest.raises(ValueError, match="^" + re.escape(sentence)):
        solve(pieces, stocks, options)
