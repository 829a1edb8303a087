"""How the board was in a soak, from its signs of life."""

from dataclasses import dataclass

from appliance.records.entries import SoakRecord
from appliance.records.report_time import Course


@dataclass(frozen=True)
class HealthFacts:
    """Degrees Celsius, None where the board does not tell; signs of life with undervoltage, and with a word on it."""

    words: str
    lowest: float | None
    highest: float | None
    undervoltage: int
    told: int


def health_facts(record: SoakRecord, course: Course) -> HealthFacts:
    """In a line, and in numbers."""
    warm = [(beat.celsius, beat) for beat in record.beats if known(beat.celsius)]
    volts = [beat for beat in record.beats if beat.undervoltage is not None]
    low = [beat for beat in volts if beat.undervoltage]
    said = []
    if warm:
        hottest, beat = max(warm, key=lambda pair: pair[0] or 0.0)
        said.append(f"{hottest:.0f} °C at most ({course.when(beat.moment)})")
    if volts:
        said.append(f"low voltage in {len(low) or 'none'} of {len(volts)} minutes told")
    heats = [heat for heat, _ in warm if heat is not None]
    words = "; ".join(said) or "This board told neither temperature nor voltage"
    return HealthFacts(words, min(heats, default=None), max(heats, default=None), len(low), len(volts))


def known(celsius: float | None) -> bool:
    """Whether it is a temperature at all: a disk's rubbish may say infinity."""
    return celsius is not None and -100 < celsius < 200
