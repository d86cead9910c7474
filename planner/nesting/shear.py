"""Guillotine layouts under construction: one sheet, its cut tree and its leftovers.

Inside this module every rectangle is grown by the spacing to the right and to the top,
sheet and pieces alike. A cut then takes no room at all, and two grown rectangles that
touch are exactly one spacing apart. Growing is undone in `records.py`.
"""

from __future__ import annotations

NONE, VERTICAL, HORIZONTAL = 0, 1, 2

# How a piece chooses among the leftovers that hold it.
FIT_SHORT, FIT_AREA, FIT_LONG = 0, 1, 2
# How the L-shape around a placed piece is split first.
SPLIT_LARGE, SPLIT_SMALL, SPLIT_VERTICAL, SPLIT_HORIZONTAL = 0, 1, 2, 3


class Node:
    """A rectangle of the sheet: cut in two, or holding a piece, or leftover."""

    __slots__ = (
        "cut", "height", "high", "low", "parent", "piece", "turned", "width", "x", "y"
    )  # fmt: skip
    low: Node
    high: Node

    def __init__(self, x: int, y: int, width: int, height: int, parent: Node | None) -> None:
        self.x = x
        self.y = y
        self.width = width
        self.height = height
        self.parent = parent
        self.cut = NONE
        self.piece = -1
        self.turned = False


def _is_leftover(node: Node) -> bool:
    return node.cut == NONE and node.piece < 0


def _divide(node: Node, cut: int, size: int) -> None:
    """Cut a leaf; the low part keeps `size` of the dimension that the cut crosses."""
    x, y, width, height = node.x, node.y, node.width, node.height
    node.cut = cut
    if cut == VERTICAL:
        node.low = Node(x, y, size, height, node)
        node.high = Node(x + size, y, width - size, height, node)
    else:
        node.low = Node(x, y, width, size, node)
        node.high = Node(x, y + size, width, height - size, node)


def _span(low: Node, high: Node, parent: Node) -> Node:
    """A new leaf that covers two neighbours, `high` right of or above `low`."""
    width = high.x + high.width - low.x
    height = high.y + high.height - low.y
    return Node(low.x, low.y, width, height, parent)


class Sheet:
    """One sheet of stock being filled.

    `free` maps each place a piece may go to its size. A place is a leftover leaf, or a
    cut node whose two leftovers form an L around a corner: that one stands for the L
    split the other way, so the choice of the first cut is made only when it matters.
    Places that no piece of the problem fits (`least_side`) are not listed.
    """

    __slots__ = ("free", "group", "least_side", "pieces", "root", "spacing", "spare", "stock")

    def __init__(self, stock: int, group: int, width: int, height: int, *, spacing: int, least_side: int) -> None:
        self.stock = stock
        self.group = group
        self.spacing = spacing
        self.least_side = least_side
        self.root = Node(0, 0, width, height, None)
        self.free: dict[Node, tuple[int, int]] = {self.root: (width, height)}
        self.spare = width * height
        self.pieces: list[int] = []

    def place(self, node: Node, width: int, height: int, piece: int, *, turned: bool, split: int) -> None:
        """Put a piece into the lower left corner of a place listed in `free`."""
        if node.cut != NONE:
            node = self.flip(node)
        self.free.pop(node, None)
        rest_x = node.width - width
        rest_y = node.height - height
        # A remainder no wider than the strip cannot be cut off; it stays with the piece.
        cut_x = rest_x > self.spacing
        cut_y = rest_y > self.spacing
        holder = node
        if cut_x and cut_y:
            if _vertical_first(node, rest_x, rest_y, split):
                _divide(node, VERTICAL, width)
                _divide(node.low, HORIZONTAL, height)
            else:
                _divide(node, HORIZONTAL, height)
                _divide(node.low, VERTICAL, width)
            holder = node.low.low
        elif cut_x:
            _divide(node, VERTICAL, width)
            holder = node.low
        elif cut_y:
            _divide(node, HORIZONTAL, height)
            holder = node.low
        holder.piece = piece
        holder.turned = turned
        self.pieces.append(piece)
        self.spare -= width * height
        self._refresh_from(self._join(node))

    def flip(self, corner: Node) -> Node:
        """Split the L around a corner the other way; return its larger new leftover."""
        inner, outer = corner.low, corner.high
        held, beside = inner.low, inner.high
        for gone in (corner, inner, outer, beside):
            self.free.pop(gone, None)
        corner.cut, inner.cut = inner.cut, corner.cut
        if corner.cut == HORIZONTAL:
            inner.width = corner.width
            inner.height = held.height
            inner.high = Node(outer.x, corner.y, outer.width, held.height, inner)
            corner.high = Node(corner.x, beside.y, corner.width, beside.height, corner)
        else:
            inner.width = held.width
            inner.height = corner.height
            inner.high = Node(corner.x, outer.y, held.width, outer.height, inner)
            corner.high = Node(beside.x, corner.y, beside.width, corner.height, corner)
        self._refresh_from(inner)
        return corner.high

    def copy(self) -> tuple[Sheet, dict[Node, Node]]:
        """A copy that can be filled on its own, and which node became which."""
        twin = Sheet.__new__(Sheet)
        twin.stock, twin.group, twin.spacing = self.stock, self.group, self.spacing
        twin.least_side, twin.spare, twin.pieces = self.least_side, self.spare, self.pieces[:]
        became: dict[Node, Node] = {}
        # Not recursive: a strip of many small pieces makes a very deep tree.
        waiting = [self.root]
        while waiting:
            old = waiting.pop()
            parent = old.parent
            new = Node(old.x, old.y, old.width, old.height, became[parent] if parent else None)
            new.cut, new.piece, new.turned = old.cut, old.piece, old.turned
            became[old] = new
            if old.cut != NONE:
                waiting.append(old.low)
                waiting.append(old.high)
        for old, new in became.items():
            if old.cut != NONE:
                new.low, new.high = became[old.low], became[old.high]
        twin.root = became[self.root]
        twin.free = {became[node]: size for node, size in self.free.items()}
        return twin, became

    def _join(self, node: Node) -> Node:
        """Merge leftovers that have come to lie side by side; return where to refresh.

        Two neighbours cut at the same height with leftover on top become one cut
        across both with one wide leftover.
        """
        parent = node.parent
        if node.cut == NONE or parent is None:
            return node
        start = node.low
        if parent.cut == node.cut:
            # A longer run of parallel cuts: pair the new part with the one before it.
            before, part = parent.low, node.low
            if part.cut == NONE or not _may_join(before, part):
                return start
            self.free.pop(node, None)
            parent.low = _span(before, part, parent)
            parent.low.cut = parent.cut
            parent.low.low, parent.low.high = before, part
            before.parent = part.parent = parent.low
            parent.high = node.high
            parent.high.parent = parent
            self._merge(parent.low)
            start = node = parent.low
            parent = node.parent
        while parent is not None and parent.cut != node.cut:
            if not _may_join(parent.low, parent.high):
                break
            self._merge(parent)
            start = node = parent
            parent = node.parent
        return start

    def _merge(self, node: Node) -> None:
        before, after = node.low, node.high
        for gone in (before, after, before.high, after.high):
            self.free.pop(gone, None)
        held = _span(before.low, after.low, node)
        held.cut = node.cut
        held.low, held.high = before.low, after.low
        held.low.parent = held.high.parent = held
        node.cut = before.cut
        node.low = held
        node.high = _span(before.high, after.high, node)

    def _refresh_from(self, node: Node) -> None:
        """Bring `free` up to date around a changed node; changes reach no higher."""
        current: Node | None = node
        for _ in range(4):
            if current is None:
                return
            self._refresh(current)
            if current.cut != NONE:
                self._refresh(current.low)
                self._refresh(current.high)
            current = current.parent

    def _refresh(self, node: Node) -> None:
        size = place_size(node)
        if size is not None and min(size) >= self.least_side:
            self.free[node] = size
        else:
            self.free.pop(node, None)


def place_size(node: Node) -> tuple[int, int] | None:
    """The room that a node offers as a place (see `Sheet.free`), None if it is none."""
    if node.cut == NONE:
        return (node.width, node.height) if node.piece < 0 else None
    low = node.low
    if low.cut + node.cut != VERTICAL + HORIZONTAL or not _is_leftover(node.high):
        return None
    beside = low.high
    if not _is_leftover(beside):
        return None
    if node.cut == VERTICAL:
        return node.width, beside.height
    return beside.width, node.height


def _may_join(low: Node, high: Node) -> bool:
    if low.cut == NONE or low.cut != high.cut:
        return False
    if low.parent is None or low.parent.cut == low.cut:
        return False
    same = low.low.height == high.low.height if low.cut == HORIZONTAL else low.low.width == high.low.width
    return same and _is_leftover(low.high) and _is_leftover(high.high)


def _vertical_first(node: Node, rest_x: int, rest_y: int, split: int) -> bool:
    if split >= SPLIT_VERTICAL:
        return split == SPLIT_VERTICAL
    right_is_larger = rest_x * node.height >= rest_y * node.width
    return right_is_larger == (split == SPLIT_LARGE)


# One long loop, because it is where the time goes: a call per leftover would double it.
def find_place(  # noqa: PLR0912
    sheets: list[Sheet], width: int, height: int, *, may_turn: bool, fit: int, earliest: bool
) -> tuple[int, Node, bool] | None:
    """The best place for a piece: index of the sheet, the place, whether to turn.

    With `earliest` the first sheet that can hold the piece takes it.
    """
    area = width * height
    may_turn = may_turn and width != height
    best: tuple[int, Node, bool] | None = None
    # Larger than any score below: sides are compared at a scale that no side reaches.
    scale = 1 << 40
    best_score = scale * scale * scale
    for index, sheet in enumerate(sheets):
        if sheet.spare < area:
            continue
        for node, (room_x, room_y) in sheet.free.items():
            rest_x = room_x - width
            rest_y = room_y - height
            if rest_x >= 0 and rest_y >= 0:
                if fit == FIT_AREA:
                    score = room_x * room_y * scale + (rest_x if rest_x < rest_y else rest_y)
                elif (rest_x < rest_y) == (fit == FIT_SHORT):
                    score = rest_x * scale + rest_y
                else:
                    score = rest_y * scale + rest_x
                if score < best_score:
                    best_score = score
                    best = (index, node, False)
            if may_turn:
                rest_x = room_x - height
                rest_y = room_y - width
                if rest_x >= 0 and rest_y >= 0:
                    if fit == FIT_AREA:
                        score = room_x * room_y * scale + (rest_x if rest_x < rest_y else rest_y)
                    elif (rest_x < rest_y) == (fit == FIT_SHORT):
                        score = rest_x * scale + rest_y
                    else:
                        score = rest_y * scale + rest_x
                    if score < best_score:
                        best_score = score
                        best = (index, node, True)
        if earliest and best is not None:
            break
    return best
