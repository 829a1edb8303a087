"""A modeline as the kernel takes it, and the bounds of the composite encoder.

Imported on the way to the first picture: nothing but a named tuple of the standard library is used here.
"""

from collections import namedtuple

from appliance.errors import Refused

_Timings = namedtuple(  # noqa: PYI024 - typing.NamedTuple would import typing before the first picture
    "_Timings", "clock hdisplay hsync_start hsync_end htotal vdisplay vsync_start vsync_end vtotal interlaced"
)


class Modeline(_Timings):
    """Clock in kHz and the eight timings: horizontal in samples, vertical in frame lines, as in the kernel's modeinfo."""

    __slots__ = ()

    def text(self) -> str:
        """The modeline on one line, in the usual order."""
        return " ".join(str(int(n)) for n in self)


def read_modeline(text: str) -> Modeline:
    """The modeline that :meth:`Modeline.text` wrote; raises :class:`Refused` when it is not ten whole numbers."""
    try:
        numbers = [int(word) for word in text.split()]
        return Modeline(*numbers[:9], interlaced=bool(numbers[9]))
    except (ValueError, IndexError, TypeError):
        raise Refused(f"modeline {text!r}: ten whole numbers are wanted") from None
