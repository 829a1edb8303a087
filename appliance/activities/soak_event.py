"""What a soak hands out to be kept."""

from dataclasses import dataclass

KINDS = (
    "started", "phase", "paused", "resumed", "skipped", "observation", "look", "absent", "back", "heartbeat", "ended",
    "cut", "warned",
)  # fmt: skip


@dataclass(frozen=True)
class SoakEvent:
    """Something that happened: ``kind`` is one of :data:`KINDS`, ``words`` say it to people.

    ``at``: monotonic seconds; ``elapsed``: the soak's own; ``phase``: index in its plan.
    """

    kind: str
    at: float
    elapsed: float
    phase: int
    words: str
