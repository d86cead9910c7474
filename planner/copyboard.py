"""Where is the art that the orders name, may it be read, and which negative is to blame when it cannot be?"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from planner.artwork.records import ArtError, Artwork, Asked
from planner.forms import InputError, Problem


@dataclass(frozen=True, slots=True)
class Copyboard:
    """Where the art of an order file lies, and how messages name that file. Without a folder no art can be read."""

    source: str
    folder: Path | None

    def read(self, place: str, name: str, asked: Asked) -> Artwork:
        """Read a piece of art; ``place`` is what a message calls its negative.

        Raises:
            InputError: the file is not in the order file's folder, or is no art that can be used.
        """
        # Only who has art waits for the libraries that read it.
        from planner.artwork import read_art  # noqa: PLC0415

        try:
            return read_art(self._file(name), asked)
        except ArtError as error:
            raise InputError(self.source, [Problem(f'{place}, key "art"', f'"{name}" {error}')]) from None

    def _file(self, name: str) -> Path:
        if self.folder is None:
            raise ArtError("cannot be found: these orders were not read from a file, so no folder is known")
        folder = self.folder.resolve()
        try:
            path = (folder / name).resolve(strict=True)
        except FileNotFoundError:
            raise ArtError(f"is not there; art is looked for in the folder of the order file, {folder}") from None
        except (OSError, RuntimeError) as error:
            raise ArtError(f"cannot be read: {getattr(error, 'strerror', None) or error}") from None
        if not path.is_relative_to(folder):
            raise ArtError("is a link that leads out of the order file's folder; copy the file there")
        if not path.is_file():
            raise ArtError("is no file")
        return path
