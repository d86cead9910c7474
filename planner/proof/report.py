"""What a proof says: each check, how much it looked at, and every violation as one sentence."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Check:
    """One question put to a plan; ``count`` counts ``what`` it was put to, and zero proves nothing."""

    name: str
    what: str
    count: int
    violations: tuple[str, ...]

    @property
    def clean(self) -> bool:
        """Whether the check found nothing wrong."""
        return not self.violations


@dataclass(frozen=True, slots=True)
class Proof:
    """The independent re-check of a plan."""

    checks: tuple[Check, ...]

    @property
    def clean(self) -> bool:
        """Whether no check found anything wrong."""
        return all(check.clean for check in self.checks)

    @property
    def violations(self) -> tuple[str, ...]:
        """Every violation, each preceded by the name of its check."""
        return tuple(f"{check.name}: {sentence}" for check in self.checks for sentence in check.violations)


@dataclass(slots=True)
class Tally:
    """A check under way."""

    name: str
    what: str
    count: int = 0
    sentences: list[str] = field(default_factory=list)

    def look(self, more: int = 1) -> None:
        """Count what is being looked at."""
        self.count += more

    def wrong(self, sentence: str) -> None:
        """Note a violation."""
        self.sentences.append(sentence)

    def done(self) -> Check:
        """Close the check; a sentence that several places gave alike is said once."""
        return Check(self.name, self.what, self.count, tuple(dict.fromkeys(self.sentences)))
