"""How is progress told to whoever waits at a terminal?"""

from __future__ import annotations

import contextlib
import sys
import time
from collections.abc import Callable, Iterator

import click

_QUIET = 0.2
"""Seconds between two lines of progress."""


@contextlib.contextmanager
def progress_told() -> Iterator[Callable[[str], None] | None]:
    """Progress goes to stderr, on a terminal only, a few times a second, and wipes itself."""
    if not sys.stderr.isatty():
        yield None
        return
    last = 0.0

    def show(words: str) -> None:
        nonlocal last
        now = time.monotonic()
        if now - last >= _QUIET:
            last = now
            click.echo(f"\r\033[K{words}\r", nl=False, err=True)

    try:
        yield show
    finally:
        click.echo("\r\033[K", nl=False, err=True)
