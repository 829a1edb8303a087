"""The four scanning formats, exact.

All four are sampled at 13.5 MHz with 720 samples in the digital active line (ITU-R BT.601-7, 525: 858 samples a
line, 625: 864). The progressive forms scan every line of one field again and again: 262 lines instead of 262½,
312 instead of 312½. They belong to no standard; sets accept them because their field hold has room
(common practice, no source).

>>> FORMATS["240p"].field_rate
Fraction(1125000, 18733)
>>> float(FORMATS["288p"].pixel_aspect)
0.5470085470085471
"""

from dataclasses import dataclass
from fractions import Fraction

from appliance.errors import Refused
from appliance.video.line_systems import LINES_525, LINES_625, SAMPLE_RATE, SAMPLES, LineSystem
from appliance.video.modeline import Mode, Modeline

__all__ = [
    "FORMATS",
    "LINES_525",
    "LINES_625",
    "SAMPLES",
    "SAMPLE_RATE",
    "TV_MODES",
    "Format",
    "LineSystem",
    "check_system",
    "find_format",
    "find_mode",
]


@dataclass(frozen=True)
class Format:
    """One scanning format: how many lines, how fast, and the modeline that makes them.

    ``lines`` are those of a frame as drawn; an interlaced frame holds both fields, upper field first in row 0.
    ``systems`` are the colour systems that go with it, the usual one first.
    """

    name: str
    line_system: LineSystem
    modeline: Modeline
    systems: tuple[str, ...]

    @property
    def samples(self) -> int:
        """Samples of a line as drawn: 720."""
        return self.modeline.hdisplay

    @property
    def lines(self) -> int:
        """Lines of a frame as drawn: 240, 480, 288 or 576."""
        return self.modeline.vdisplay

    @property
    def interlaced(self) -> bool:
        """True when a frame takes two fields."""
        return bool(self.modeline.interlaced)

    @property
    def line_total(self) -> Fraction:
        """Lines of one field with its blanking: 262, 525/2, 312 or 625/2."""
        return Fraction(self.modeline.vtotal, 2 if self.interlaced else 1)

    @property
    def line_rate(self) -> Fraction:
        """Lines a second, Hz."""
        return self.line_system.line_rate

    @property
    def field_rate(self) -> Fraction:
        """Fields a second, Hz."""
        return self.line_rate / self.line_total

    @property
    def field_time(self) -> Fraction:
        """Seconds a field takes."""
        return 1 / self.field_rate

    @property
    def lines_per_row(self) -> int:
        """Rows of the frame to one scanned line of a field: 1 progressive, 2 interlaced.

        A thing meant to look as tall in every format of a line system is drawn this many times as many rows tall.
        """
        return 2 if self.interlaced else 1

    @property
    def picture_lines(self) -> Fraction:
        """Rows that the whole analogue picture would have in this format: 243, 486, 288 or 576."""
        return Fraction(self.line_system.picture_lines * self.lines_per_row, 2)

    @property
    def pixel_aspect(self) -> Fraction:
        """Width of a sample over the height of a row as displayed on a 4:3 tube.

        The analogue active picture is 4:3: 4/3 · rows / samples. 480i: 4320/4739, 576i: 128/117, the progressive
        ones half that.
        """
        return Fraction(4, 3) * self.picture_lines / self.line_system.active_samples


def _modeline(horizontal: str, vertical: str, interlaced: bool) -> Modeline:
    timings = [int(word) for word in f"{horizontal} {vertical}".split()]
    return Modeline._make([SAMPLE_RATE // 1000, *timings, interlaced])


_H525, _H625 = "720 734 798 858", "720 740 804 864"
_SYSTEMS_525 = ("NTSC", "NTSC-J", "PAL-M", "PAL-60", "mono")
_SYSTEMS_625 = ("PAL", "PAL-N", "mono")

# The progressive modelines are those that the Raspberry Pi kernel 6.12 lists; the interlaced ones are the encoder
# driver's own (vc4_vec.c). The encoder makes its own sync pulses; the totals are what counts.
FORMATS: dict[str, Format] = {
    f.name: f
    for f in (
        Format("240p", LINES_525, _modeline(_H525, "240 243 246 262", False), _SYSTEMS_525),
        Format("480i", LINES_525, _modeline(_H525, "480 487 493 525", True), _SYSTEMS_525),
        Format("288p", LINES_625, _modeline(_H625, "288 290 293 312", False), _SYSTEMS_625),
        Format("576i", LINES_625, _modeline(_H625, "576 580 586 625", True), _SYSTEMS_625),
    )
}

TV_MODES: dict[str, str] = {
    "NTSC": "NTSC",
    "NTSC-J": "NTSC-J",
    "PAL": "PAL",
    "PAL-M": "PAL-M",
    "PAL-N": "PAL-N",
    "PAL-60": "PAL",
    "mono": "Mono",
}
"""Colour system → value of the kernel's connector property ``TV mode``. PAL-60 is PAL on 525 lines."""


def find_format(name: str) -> Format:
    """The format called ``name``; raises :class:`Refused` naming those there are."""
    try:
        return FORMATS[name]
    except KeyError:
        raise Refused(f"format {name!r}: unknown; there are {', '.join(FORMATS)}") from None


def check_system(fmt: Format, system: str) -> str:
    """``system`` if it goes with ``fmt``; raises :class:`Refused` naming those that do."""
    if system not in fmt.systems:
        raise Refused(f"system {system!r}: does not go with {fmt.name}; it takes {', '.join(fmt.systems)}")
    return system


def find_mode(fmt: Format, system: str) -> Mode:
    """The mode that puts ``fmt`` in ``system`` on the lead; raises :class:`Refused` when they do not go together."""
    return Mode(fmt.modeline, TV_MODES[check_system(fmt, system)])
