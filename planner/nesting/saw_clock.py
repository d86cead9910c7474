"""When may a search for free layouts go on, and when must it stop?"""

from __future__ import annotations

import time


class Clock:
    """When to stop: after so many sweeps, or seconds from now; None is no limit.

    It does not stop anything before `running` is set, so that the first answer is complete.
    """

    def __init__(self, sweeps: int | None, seconds: float | None) -> None:
        self.most_sweeps = sweeps
        self.end = None if seconds is None else time.monotonic() + seconds
        self.sweeps = 0
        self.running = False

    def stopping(self) -> bool:
        """Whether it is time to stop."""
        if not self.running:
            return False
        if self.most_sweeps is not None and self.sweeps >= self.most_sweeps:
            return True
        return self.end is not None and time.monotonic() >= self.end

    def left(self) -> float | None:
        """Seconds left, None without such a limit."""
        return None if self.end is None else max(0.0, self.end - time.monotonic())
