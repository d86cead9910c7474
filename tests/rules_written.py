"""House rules written in a test: modules made of text, as a file that a house names would hold them."""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Iterator
from contextlib import contextmanager
from types import ModuleType

HEAD = """
from decimal import Decimal
from shapely import LineString, MultiPoint, Point, box, unary_union
from planner.hookspecs import *

class Own(Settings):
    width: Length = 0.25

@hookimpl
def flatwright_rule():
    return Rule("{name}", "0.1", "a rule of somebody else", Own, order={order})
"""


def written(body: str, name: str = "stranger", order: int = 0, head: str = HEAD) -> ModuleType:
    """A rule's module of this text; ``body`` follows the usual head."""
    module = ModuleType(f"rule_of_a_test_{name.replace('-', '_')}")
    sys.modules[module.__name__] = module
    exec(compile(head.format(name=name, order=order) + textwrap.dedent(body), module.__name__, "exec"), module.__dict__)
    return module


@contextmanager
def forgotten() -> Iterator[None]:
    """Leave no module of a test behind."""
    try:
        yield
    finally:
        for name in [name for name in sys.modules if name.startswith("rule_of_a_test_")]:
            del sys.modules[name]
