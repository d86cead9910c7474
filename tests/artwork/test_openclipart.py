"""A few public-domain drawings beside an independent renderer; the whole sample is `compare_openclipart.py`."""

from __future__ import annotations

from pathlib import Path

import pytest

from .compare_openclipart import absent, compared, sample

pytestmark = pytest.mark.skipif(bool(absent()), reason=absent() or "everything is there")


@pytest.mark.parametrize("number", range(4))
def test_prints_what_another_renderer_prints(number: int) -> None:
    path: Path = sample(4)[number]
    result = compared(path, width=3.0)
    if result.overlap is None or result.within is None:
        assert result.words.startswith("refused: ")
        pytest.skip(result.words)
    assert result.within >= 0.99
    assert result.overlap >= 0.9
