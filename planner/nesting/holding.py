"""Which stock can hold a piece at all, and why a piece is on no sheet."""

from __future__ import annotations

from collections.abc import Sequence

from .keepouts import open_parts
from .problem import Options, Piece, Reason, Stock
from .slabs import slab_of, uncut
from .slicing import leaf
from .task import limits_of


class Holding:
    """Answers for one problem, remembered by size."""

    def __init__(self, stocks: Sequence[Stock], options: Options) -> None:
        """Cut every stock around its boxes once."""
        self._stocks = stocks
        self._spacing = spacing = options.spacing
        self._limits = limits_of(options)
        self._open = [
            open_parts(stock.width + spacing, stock.height + spacing, stock.blocked, spacing) for stock in stocks
        ]
        self._known: dict[tuple[int, int, bool, int], bool] = {}

    def usable(self, piece: Piece) -> list[int]:
        """The stocks of the piece's material that its group may use, sold out or not."""
        return [
            number
            for number, stock in enumerate(self._stocks)
            if stock.material == piece.material and stock.group in (None, piece.group)
        ]

    def holds(self, number: int, piece: Piece) -> bool:
        """Whether a piece fits on a sheet of its own, in any allowed turning, and the shears can cut it out."""
        key = (piece.width, piece.height, piece.may_turn, number)
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._is_held(number, piece.width, piece.height) or (
                piece.may_turn and self._is_held(number, piece.height, piece.width)
            )
        return known

    def reason(self, piece: Piece) -> Reason | None:
        """Why no sheet can hold the piece, None when one can."""
        kinds = self.usable(piece)
        if not kinds:
            return "no-stock"
        holding = [kind for kind in kinds if self.holds(kind, piece)]
        if not holding:
            return "too-large"
        return "out-of-stock" if all(self._stocks[kind].count == 0 for kind in holding) else None

    def _is_held(self, number: int, width: int, height: int) -> bool:
        spacing = self._spacing
        width, height = width + spacing, height + spacing
        for variant in self._open[number]:
            for region, (room_x, room_y) in enumerate(variant.sizes):
                if width > room_x or height > room_y:
                    continue
                if self._limits is None:
                    return True
                tree = leaf(0, False, width, height)
                for contrary in (False, True):
                    slabs = [uncut(*size) for size in variant.sizes]
                    slabs[region] = slab_of(tree, room_x, room_y, spacing, contrary)
                    used = [other == region for other in range(len(slabs))]
                    if self._limits.permit(variant.frame.slab(slabs, used), spacing):
                        return True
        return False
