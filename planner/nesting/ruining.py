"""What is taken out of a plan in a round, to be laid anew and better?"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence

from .answer import price
from .rooms import Sheet
from .slicing import Tree, without_sizes, without_some
from .task import Task

# Pieces or runs taken out in a round: one up to this many, at first and in turn whenever the search begins anew. More
# of them come further where sheets are nearly full, but a round takes longer.
_MOST_RUINS = (6, 9)
# The largest share of the sheets that a search which begins anew leaves as they are.
_MOST_KEPT = 0.8
# The chance to take all of a run rather than go down into one of its parts: so much for each sheet of the plan, up to
# a limit. With one or two sheets a whole one taken out would leave nothing to build on.
_WHOLE_RUN, _MOST_WHOLE_RUN = 0.04, 0.3


class Ruining:
    """Takes pieces out of plans of one task, picked by chance."""

    def __init__(self, task: Task, chance: random.Random) -> None:
        """`chance` is shared with the rest of the search."""
        self._task = task
        self._random = chance
        self._times = 0

    def ruined(self, plan: Sequence[Sheet], out: Mapping[int, int]) -> tuple[list[Sheet], dict[int, int]]:
        """The plan without some of its pieces, and all that then waits for a place; `out` is what waited before."""
        chance = self._random.random
        sheets = list(plan)
        waiting = dict(out)
        number = len(sheets)
        if not number:
            return sheets, waiting
        trees: dict[tuple[int, int], Tree | None] = {}
        removed: list[int] = []
        most = _MOST_RUINS[self._times % len(_MOST_RUINS)]
        whole = min(_WHOLE_RUN * number, _MOST_WHOLE_RUN)
        for _ in range(1 + int(chance() * most)):
            index = int(chance() * number)
            regions = sheets[index].trees
            region = int(chance() * len(regions)) if len(regions) > 1 else 0
            tree = trees.get((index, region), regions[region])
            if tree is not None:
                trees[index, region] = without_some(tree, chance, whole, removed)
        if self._task.bundles:
            removed = self._broken(sheets, trees, removed)
        for size in removed:
            waiting[size] = waiting.get(size, 0) + 1
        emptied = False
        for (index, region), tree in trees.items():
            sheets[index] = sheets[index].with_tree(region, tree)
            emptied = emptied or tree is None
        if self._task.limits is not None:
            # What was cut out beside a piece taken away may be out of the shears' reach now.
            for index in sorted({index for index, _ in trees}):
                if any(sheets[index].trees) and self._task.slab(sheets[index]) is None:
                    self.take_all(sheets[index], waiting)
                    sheets[index] = sheets[index].emptied()
                    emptied = True
        if emptied:
            sheets = [sheet for sheet in sheets if any(sheet.trees)]
        return sheets, waiting

    def _broken(
        self, sheets: Sequence[Sheet], trees: dict[tuple[int, int], Tree | None], removed: list[int]
    ) -> list[int]:
        """Take all of a bundle where one piece was taken; count the bundle instead of its pieces."""
        bundle_of, bundles = self._task.bundle_of, self._task.bundles
        heads = {bundle_of[size] for size in removed if size in bundle_of}
        if heads:
            members = {member for head in heads for member in bundles[head].sizes}
            for index in {index for index, _ in trees}:
                for region, whole in enumerate(sheets[index].trees):
                    tree = trees.get((index, region), whole)
                    if tree is not None:
                        trees[index, region] = without_sizes(tree, members)
        return [size for size in removed if size not in bundle_of] + sorted(heads)

    def begun_anew(self, plan: Sequence[Sheet], out: Mapping[int, int]) -> tuple[list[Sheet], dict[int, int]]:
        """What a search begins anew from: a few sheets of the plan, or none, and all that then waits."""
        self._times += 1
        sheets = list(plan)
        waiting = dict(out)
        self._random.shuffle(sheets)
        kept = int(len(sheets) * _MOST_KEPT * self._random.random())
        for sheet in sheets[kept:]:
            self.take_all(sheet, waiting)
        return sheets[:kept], waiting

    def take_all(self, sheet: Sheet, waiting: dict[int, int]) -> None:
        """Let all pieces of a sheet wait again, those of a bundle as one."""
        sizes = sheet.sizes()
        bundle_of = self._task.bundle_of
        if bundle_of:
            heads = {bundle_of[size] for size in sizes if size in bundle_of}
            sizes = [size for size in sizes if size not in bundle_of] + sorted(heads)
        for size in sizes:
            waiting[size] = waiting.get(size, 0) + 1

    def keep_within(self, limit: float, sheets: list[Sheet], waiting: dict[int, int]) -> None:
        """Take whole sheets out of the plan until its price is within the limit; it and what waits are changed."""
        if limit == math.inf:
            return
        spent = price(self._task, sheets)
        while spent > limit:
            sheet = sheets.pop(int(self._random.random() * len(sheets)))
            spent -= self._task.kinds[sheet.kind].cost
            self.take_all(sheet, waiting)
