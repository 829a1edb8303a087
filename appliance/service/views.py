"""What is asked of the screen, whole: a mode's names, a picture, whether it moves, and the words over it."""

from typing import NamedTuple

from appliance.activities.showing import Caption, Code, Showing
from appliance.settings.tree import Choice


class View(NamedTuple):
    """One picture as it is to stand on the screen. ``shift``: cells across and down by which it stands aside.

    ``large``: a number in its middle. ``code``: stands instead of the pattern.
    """

    choice: Choice
    pattern: str
    variant: str
    moving: bool = False
    caption: Caption | None = None
    left: str = ""
    shift: tuple[int, int] = (0, 0)
    large: str = ""
    code: Code | None = None

    @property
    def picture(self) -> tuple[Choice, str, str, Caption | None, str, Code | None]:
        """The view less its movement and the seconds left: what makes it another picture to the eye.

        A caption's dark plate is large enough to flash a part of a light picture, and so is a large number's.
        """
        return self.choice, self.pattern, self.variant, self.caption, self.large, self.code

    @property
    def words(self) -> str:
        """The words over the picture: the caption, or the seconds left."""
        return self.caption.text if self.caption else self.left


def view_of(showing: Showing, choice: Choice) -> View:
    """The view of what an activity shows, in a format and system."""
    return View(
        choice, showing.pattern, showing.variant, showing.moving, showing.caption, showing.count, large=showing.large,
        code=showing.code,
    )  # fmt: skip
