"""The colour subcarriers, exact, and how each stands against line and field."""

from fractions import Fraction
from typing import Annotated

from appliance.errors import Refused
from appliance.video.formats import Format, check_system
from appliance.video.sources import Source

_BT470 = ("ITU-R BT.470", "5 (1998)")

NTSC: Annotated[Fraction, Source("SMPTE 170M", "2004", "subcarrier 5 MHz × 63/88")] = Fraction(315_000_000, 88)
"""Hz; 227½ cycles a line. NTSC-J has the same."""
PAL: Annotated[Fraction, Source(*_BT470, "subcarrier (1135/4 + 1/625) fH, B/G")] = Fraction(17_734_475, 4)
"""Hz; 1135/4 cycles a line and 25 Hz more. PAL-60 has the same, with no fixed relation to its lines."""
PAL_N: Annotated[Fraction, Source(*_BT470, "subcarrier (917/4 + 1/625) fH, N")] = Fraction(14_328_225, 4)
"""Hz."""
PAL_M: Annotated[Fraction, Source(*_BT470, "subcarrier (909/4) fH, M/PAL")] = Fraction(511_312_500, 143)
"""Hz. BT.470 prints 3 575 611.49 Hz, which follows from a rounded line rate."""

SUBCARRIERS: dict[str, Fraction] = {
    "NTSC": NTSC,
    "NTSC-J": NTSC,
    "PAL": PAL,
    "PAL-60": PAL,
    "PAL-M": PAL_M,
    "PAL-N": PAL_N,
}
"""System → Hz; ``mono`` has none."""


def subcarrier(system: str) -> Fraction:
    """Hz; raises :class:`Refused` for a system without a subcarrier."""
    try:
        return SUBCARRIERS[system]
    except KeyError:
        raise Refused(f"system {system!r}: no subcarrier; there are {', '.join(SUBCARRIERS)}") from None


def cycles_per_line(fmt: Format, system: str) -> Fraction:
    """Subcarrier cycles in one line; raises :class:`Refused` when system and format do not go together."""
    return subcarrier(check_system(fmt, system)) / fmt.line_rate


def cycles_per_field(fmt: Format, system: str) -> Fraction:
    """Subcarrier cycles in one field. A whole number means that the dot pattern stands still from field to field."""
    return cycles_per_line(fmt, system) * fmt.line_total
