"""Reads the path data that a plan carries for a piece of art: M, l and z with whole numbers, and nothing else."""

from __future__ import annotations

import re
from typing import Final

import numpy as np

from planner.proof.frames import Points

_SIGNS: Final = re.compile(r"[Mlz0-9\s,-]*")
_LARGEST: Final = 2**31


class PathFault(ValueError):
    """What is wrong with path data; the message goes on from 'its path'."""


def rings_of(data: str) -> list[Points]:
    """Give the closed rings of path data, in its own units.

    ``M`` begins a ring at an absolute point, ``l`` goes on by differences, ``z`` closes it.

    Raises:
        PathFault: the data says anything else.
    """
    if not _SIGNS.fullmatch(data):
        raise PathFault("has signs that are neither M, l, z nor whole numbers")
    before, *parts = data.replace("-", " -").replace(",", " ").split("M")
    if before.strip():
        raise PathFault("does not begin with M")
    return [_ring(part) for part in parts]


def _ring(part: str) -> Points:
    body, closing, after = part.partition("z")
    if not closing or after.strip():
        raise PathFault("has a ring that is not closed by z")
    start, *runs = body.split("l")
    first = _numbers(start)
    if len(first) != 1:
        raise PathFault("has a ring that does not begin with one point")
    # Differences add up to whole numbers, exactly.
    return np.cumsum(np.concatenate((first, *(_numbers(run) for run in runs))), axis=0)


def _numbers(text: str) -> Points:
    words = text.split()
    if not words or len(words) % 2:
        raise PathFault("has a step without two numbers")
    try:
        numbers = np.asarray(words, dtype=np.float64)
    except ValueError:
        raise PathFault("has a sign where a number should be") from None
    if not np.abs(numbers).max() <= _LARGEST:
        raise PathFault("has a number beyond 2147483648")
    return numbers.reshape(-1, 2)
