"""How is a drawing of a stranger rendered without trusting it with this program's memory and time?

Renderers of SVG and PDF are large programs fed by untrusted files: deep nests of effects ask for one canvas after the
other, and a broken file may end the program. They run in a child process that first limits its own memory and
processor time (where the system knows such limits), and answers with bytes.
"""

from __future__ import annotations

import json
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from planner.artwork.records import ArtError

MEMORY: Final = 1408 * 2**20
"""Bytes of address space for a child; this program has the rest of the 2 GiB."""

SECONDS: Final = 60
"""Of processor time for a child; an 8 x 10 in drawing of thousands of paths takes a few."""

# By the clock only where there is nothing better: a machine that sleeps or is busy must not refuse good art.
_LIMITS_ITSELF: Final = find_spec("resource") is not None

_SCRIPT: Final = Path(__file__).with_name("renderer.py")


class TooLarge(ArtError):
    """What was asked for takes more memory than a child has."""


def rendered(request: dict[str, object], data: bytes, seconds: int = SECONDS) -> bytes:
    """Hand a request and a file to a child and give what it answers within so many seconds of processor time.

    Raises:
        TooLarge: it takes too much memory; a part of it may not.
        ArtError: the file cannot be drawn, or takes too much time.
    """
    head = json.dumps({**request, "memory": MEMORY, "seconds": seconds}).encode()
    try:
        # -P: the folder of the script is no place to look for modules.
        done = subprocess.run(
            [sys.executable, "-P", str(_SCRIPT)],
            input=head + b"\n" + data,
            capture_output=True,
            timeout=None if _LIMITS_ITSELF else 4 * seconds,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise ArtError(_too_long(seconds)) from None
    if done.returncode == 0:
        return done.stdout
    if done.returncode == REFUSED:
        raise ArtError(done.stderr.decode("utf-8", "replace").strip().splitlines()[-1])
    complaint = done.stderr.decode("utf-8", "replace")
    if done.returncode == _STOPPED:
        raise ArtError(_too_long(seconds))
    if done.returncode < 0 or "memory" in complaint.lower():
        raise TooLarge(
            f"needs more than {MEMORY / 2**30:.3g} GiB of memory to draw, or breaks the program that draws it; "
            f"save it with fewer effects, masks and nested groups"
        )
    last = complaint.strip().splitlines()[-1] if complaint.strip() else f"exit code {done.returncode}"
    raise ArtError(f"cannot be drawn ({last}); save the art again, in a plainer way")


REFUSED: Final = 3
"""The child's exit code when the file is to blame and the child has said why."""

_STOPPED: Final = -24  # SIGXCPU; a system that runs out of memory sends SIGKILL.


def _too_long(seconds: int) -> str:
    return f"takes more than {seconds} seconds to draw; save it with fewer effects, patterns and repeated parts"
