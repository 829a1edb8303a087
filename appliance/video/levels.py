"""Levels on the lead: an 8-bit R'G'B' code as IRE and millivolts, exact, in each colour system.

Levels are counted from blanking. 100 IRE is white and −40 IRE the sync tip where 140 IRE are one volt (525 lines);
on the European scale white is 700 mV and sync −300 mV, and an IRE stands for one hundredth of white there too.

>>> from appliance.video.formats import FORMATS
>>> scale_of(FORMATS["240p"], "NTSC").ire(0)
Fraction(15, 2)
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from appliance.errors import Refused
from appliance.video.formats import LINES_525, Format, check_system
from appliance.video.sources import Source

Exact = int | Fraction

CODES = 255
"""The code of white; black is 0. A frame buffer holds nothing below or above them."""

_SMPTE = ("SMPTE 170M", "2004")
_BT470 = ("ITU-R BT.470", "5 (1998)")

WHITE_525: Annotated[Fraction, Source(*_SMPTE, "white 100 IRE, 140 IRE = 1 V")] = Fraction(5000, 7)
"""mV of white above blanking."""
SYNC_525: Annotated[Fraction, Source(*_SMPTE, "sync tip −40 IRE")] = Fraction(-2000, 7)
"""mV of the sync tip above blanking."""
BURST_525: Annotated[Fraction, Source(*_SMPTE, "burst 40 ±4 IRE p-p")] = Fraction(2000, 7)
"""mV peak to peak."""
SETUP: Annotated[Fraction, Source(*_SMPTE, "setup 7.5 ±2.5 IRE")] = Fraction(15, 2)
"""IRE of black above blanking in NTSC."""

WHITE_625: Annotated[Fraction, Source(*_BT470, "white +700 mV of 1 V p-p, B/G")] = Fraction(700)
"""mV of white above blanking."""
SYNC_625: Annotated[Fraction, Source(*_BT470, "sync tip −300 mV of 1 V p-p, B/G")] = Fraction(-300)
"""mV of the sync tip above blanking."""
BURST_625: Annotated[Fraction, Source(*_BT470, "burst 300 mV p-p, B/G")] = Fraction(300)
"""mV peak to peak."""

SYSTEMS_WITH_SETUP: Annotated[frozenset[str], Source("Linux vc4_vec.c", "6.12", "configuration of each TV mode")] = (
    frozenset({"NTSC"})
)
"""Systems whose black the encoder raises. The standard of PAL-M raises it too, the encoder does not."""


@dataclass(frozen=True)
class Scale:
    """What R'G'B' codes come to on the lead; mV above blanking, setup in IRE, burst in mV peak to peak."""

    white: Fraction
    sync: Fraction
    burst: Fraction
    setup: Fraction

    @property
    def gain(self) -> Fraction:
        """IRE from black to white over 100: 1, or 0.925 with setup. Chroma shrinks by it as well."""
        return 1 - self.setup / 100

    def ire(self, code: Exact) -> Fraction:
        """IRE of a grey ``code``; fractions of a code are taken as they are."""
        return self.setup + 100 * self.gain * Fraction(code) / CODES

    def millivolts(self, code: Exact) -> Fraction:
        """Millivolts above blanking of a grey ``code``."""
        return self.ire_to_millivolts(self.ire(code))

    def ire_to_millivolts(self, ire: Exact) -> Fraction:
        """Millivolts of a level, or of a peak-to-peak amplitude, in IRE."""
        return ire * self.white / 100

    def millivolts_to_ire(self, millivolts: Exact) -> Fraction:
        """IRE of a level, or of a peak-to-peak amplitude, in millivolts."""
        return 100 * Fraction(millivolts) / self.white

    def code(self, ire: Exact) -> Fraction:
        """The grey code, with its fraction, of a level in IRE; below 0 for what lies under black."""
        return (ire - self.setup) * CODES / (100 * self.gain)

    def nearest_code(self, ire: Exact) -> int:
        """The whole code nearest to a level in IRE, halves up; raises :class:`Refused` for one no code reaches."""
        nearest = (2 * self.code(ire) + 1) // 2
        if not 0 <= nearest <= CODES:
            raise Refused(f"level {float(ire):g} IRE: no code reaches it; they go from {float(self.setup):g} to 100")
        return nearest


_SCALE_525 = Scale(WHITE_525, SYNC_525, BURST_525, Fraction(0))
_SCALE_SETUP = Scale(WHITE_525, SYNC_525, BURST_525, SETUP)
_SCALE_625 = Scale(WHITE_625, SYNC_625, BURST_625, Fraction(0))
_EUROPEAN = frozenset({"PAL", "PAL-N", "PAL-60"})


def scale_of(fmt: Format, system: str) -> Scale:
    """The scale of ``system`` in ``fmt``; raises :class:`Refused` when the two do not go together.

    PAL-60 keeps the European scale of the receiver it is meant for (usual practice, no document). ``mono`` has the
    scale of its line system, no setup and no burst.
    """
    if check_system(fmt, system) == "mono":
        of_lines = _SCALE_525 if fmt.line_system is LINES_525 else _SCALE_625
        return Scale(of_lines.white, of_lines.sync, Fraction(0), Fraction(0))
    if system in _EUROPEAN:
        return _SCALE_625
    return _SCALE_SETUP if system in SYSTEMS_WITH_SETUP else _SCALE_525
