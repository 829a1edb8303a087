"""Text onto a frame, from a glyph atlas that ships with the package; no font and nothing but numpy at run time."""

from appliance.lettering.captions import LONGEST, caption, count, fits, safe_area
from appliance.lettering.writing import Frame, height, width, write

__all__ = ["LONGEST", "Frame", "caption", "count", "fits", "height", "safe_area", "width", "write"]
