"""Columns: what is counted beforehand is what is drawn."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.sheets.canvas import Canvas
from planner.sheets.columns import Block, Columns, Picture, Row
from planner.sheets.views import View

ROWS = st.lists(
    st.builds(lambda words, follows: Row(("word " * words,), follows=follows), st.integers(0, 30), st.booleans()),
    max_size=12,
)
BLOCKS = st.lists(
    st.one_of(
        st.builds(lambda rows, head: Block("b", "HEADING", rows, head=("head",) if head else ()), ROWS, st.booleans()),
        st.builds(
            lambda height, headed: Picture("p", "HEADING" if headed else "", height, lambda *_: None),
            st.floats(0.1, 3), st.booleans(),
        ),
    ),
    max_size=8,
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(blocks=BLOCKS, height=st.floats(1.0, 12.0))
def test_as_many_columns_are_counted_as_are_drawn(blocks: list[Block | Picture], height: float) -> None:
    canvas = Canvas("sample", View(False, 0.0, 0.0, 1.0, 1.0), "", "", {})
    columns = Columns(canvas, canvas.upright("list", "List"), 0.0, 0.0, height)
    counted = columns.counted(blocks)
    for block in blocks:
        columns.add(block)
    assert columns.count == counted
