"""A modeline as the kernel takes it, and the mode that goes with it.

Imported on the way to the first picture, so nothing beyond ``collections`` is imported here.
"""

from collections import namedtuple

from appliance.errors import Refused

TYPE_CHECKING = False  # typing itself would be an import before the first picture
if TYPE_CHECKING:
    from typing import NamedTuple

    class _Timings(NamedTuple):
        clock: int
        hdisplay: int
        hsync_start: int
        hsync_end: int
        htotal: int
        vdisplay: int
        vsync_start: int
        vsync_end: int
        vtotal: int
        interlaced: bool | int

    class _Mode(NamedTuple):
        modeline: "Modeline"
        tv_mode: str
else:
    _Timings = namedtuple(
        "_Timings", "clock hdisplay hsync_start hsync_end htotal vdisplay vsync_start vsync_end vtotal interlaced"
    )
    _Mode = namedtuple("_Mode", "modeline tv_mode")


class Modeline(_Timings):
    """Clock in kHz and the eight timings: horizontal in samples, vertical in frame lines, as the kernel has them."""

    __slots__ = ()

    def text(self) -> str:
        """The modeline on one line: the nine numbers in their usual order, then 1 for interlaced or 0."""
        return " ".join(str(int(n)) for n in self)

    @property
    def field_time(self) -> float:
        """Seconds of one field: samples of a line × lines of a field over the clock."""
        return self.htotal * self.vtotal / (self.clock * 1000) / (2 if self.interlaced else 1)


class Mode(_Mode):
    """What the encoder is asked for in one commit: a modeline and a value of the connector's ``TV mode``."""

    __slots__ = ()


def read_modeline(text: str) -> Modeline:
    """The modeline that :meth:`Modeline.text` wrote; raises :class:`Refused` when it is not ten whole numbers."""
    try:
        return Modeline._make(int(word) for word in text.split())
    except (ValueError, TypeError):
        raise Refused(f"modeline {text!r}: ten whole numbers are wanted") from None
