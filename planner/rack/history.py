"""Who took what off the rack and put what on it; does it add up to what lies there?

Entries are sealed: each seal is a digest of the entry and of the seal before it, so that a history that was edited by
hand is noticed. Pieces may be edited; what differs from the history becomes an entry made by hand.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import replace

from planner.rack.records import Entry, Piece, Rack, RackForm, exact_worth, refusal


def with_hand_changes(form: RackForm, source: str, digest: str | None) -> Rack:
    """Give the rack of a file, with what was changed by hand as the last entry of its history.

    Raises:
        InputError: the history was changed, does not add up, or a piece lies there that a plan has used up.
    """
    _check_seals(form, source)
    before = replay(form.history, source)
    now = {piece.name: piece for piece in form.pieces}
    taken = tuple(piece for name, piece in before.items() if now.get(name) != piece)
    added = tuple(piece for name, piece in now.items() if before.get(name) != piece)
    used = {piece.name: entry for entry in form.history if entry.by == "plan" for piece in entry.taken}
    for piece in added:
        if piece.name in used and piece.name not in before:
            who = used[piece.name].who
            raise refusal(source, f'was used up by the plan "{who}"; a new piece needs a new name',
                          f'piece "{piece.name}"')  # fmt: skip
    rack = Rack(source, form.currency, tuple(sorted_pieces(form.pieces)), form.history, False, digest)
    if not (taken or added):
        return rack
    return replace(rack, history=(*form.history, Entry(by="hand", taken=taken, added=added)), by_hand=True)


def replay(history: Iterable[Entry], source: str) -> dict[str, Piece]:
    """Give what lies on the rack after all entries, by name.

    Raises:
        InputError: an entry takes what does not lie there, or adds what lies there already.
    """
    there: dict[str, Piece] = {}
    for number, entry in enumerate(history, 1):
        where = f"entry {number} of the history ({entry.who})"
        for piece in entry.taken:
            if there.pop(piece.name, None) is None:
                raise refusal(source, f'takes the piece "{piece.name}", which does not lie there then', where)
        for piece in entry.added:
            if piece.name in there:
                raise refusal(source, f'adds the piece "{piece.name}", which lies there already', where)
            there[piece.name] = piece
    return there


def sealed(history: Iterable[Entry]) -> tuple[Entry, ...]:
    """Give the entries with their seals."""
    entries: list[Entry] = []
    for entry in history:
        before = entries[-1].seal if entries else ""
        entries.append(entry.model_copy(update={"seal": _seal(entry, before)}))
    return tuple(entries)


def sorted_pieces(pieces: Iterable[Piece]) -> list[Piece]:
    """Give pieces in the order in which a rack is listed: by metal and gauge, the largest first."""
    return sorted(pieces, key=lambda piece: (piece.metal, piece.gauge, -piece.area, piece.name))


def _check_seals(form: RackForm, source: str) -> None:
    cure = "put it back as it was; only [[pieces]] may be changed by hand"
    before = ""
    for number, entry in enumerate(form.history, 1):
        before = _seal(entry, before)
        if entry.seal != before:
            raise refusal(source, f"does not agree with its seal; {cure}",
                          f"entry {number} of the history ({entry.who})")  # fmt: skip
    if form.seal != before:
        raise refusal(source, f"does not end with the entry that the file is sealed with; {cure}", "the history")


def _seal(entry: Entry, before: str) -> str:
    words = [before, entry.by, entry.day, entry.plan, entry.onto, list(entry.jobs)]
    told = json.dumps([*words, _plain(entry.taken), _plain(entry.added)], ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def _plain(pieces: Sequence[Piece]) -> list[list[str | None]]:
    return [
        [piece.name, piece.metal, repr(piece.gauge), *(repr(side) for side in piece.size), exact_worth(piece.worth)]
        for piece in pieces
    ]
