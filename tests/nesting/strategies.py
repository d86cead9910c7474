"""Random nesting problems for property tests."""

from __future__ import annotations

from hypothesis import strategies as st

from planner.nesting import Options, Piece, Stock

Problem = tuple[list[Piece], list[Stock], Options]

_materials = st.sampled_from(["zinc", "copper"])


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    """Small problems with everything mixed: materials, groups, ranks, counts, spacing."""
    pieces = [
        Piece(
            f"piece {index}",
            draw(st.integers(1, 24)),
            draw(st.integers(1, 24)),
            draw(st.booleans()),
            draw(_materials),
            draw(st.sampled_from(["", "second"])),
            draw(st.integers(0, 2)),
        )
        for index in range(draw(st.integers(0, 22)))
    ]
    stocks = [
        Stock(
            f"stock {index}",
            draw(st.integers(6, 40)),
            draw(st.integers(6, 40)),
            draw(st.sampled_from([None, None, 0, 1, 2, 3])),
            draw(st.sampled_from([0.0, 0.1, 0.7, 1.0, 3.3])),
            draw(_materials),
            draw(st.booleans()),
        )
        for index in range(draw(st.integers(0, 4)))
    ]
    options = Options(
        spacing=draw(st.integers(0, 4)),
        iterations=draw(st.sampled_from([0, 5, 40])),
        seed=draw(st.integers(0, 3)),
        keep=draw(st.sampled_from([None, (3, 5)])),
    )
    return pieces, stocks, options


@st.composite
def tiny_problems(draw: st.DrawFn) -> Problem:
    """Problems small enough to be solved by trying everything; each piece fits some stock."""
    stocks = [
        Stock(f"stock {i}", draw(st.integers(2, 5)), draw(st.integers(2, 5)), count, cost)
        for i, (count, cost) in enumerate(
            draw(
                st.lists(
                    st.tuples(st.sampled_from([None, None, 1, 2]), st.sampled_from([0.1, 0.2, 0.3, 1.0])),
                    min_size=1,
                    max_size=2,
                )
            )
        )
    ]
    pieces = []
    for index in range(draw(st.integers(1, 4))):
        stock = draw(st.sampled_from(stocks))
        width, height = draw(st.integers(1, stock.width)), draw(st.integers(1, stock.height))
        pieces.append(Piece(f"piece {index}", width, height, draw(st.booleans())))
    return pieces, stocks, Options(spacing=draw(st.integers(0, 1)), iterations=60)
