"""The one way to the files that ship: ``config/`` and ``systemd/``.

In a checkout they stand at the top; in an installed wheel they lie inside the package, under ``_shipped``.
"""

import os

TYPE_CHECKING = False  # typing and pathlib themselves would be imports before the first picture
if TYPE_CHECKING:
    from pathlib import Path

_PACKAGE = os.path.dirname(os.path.abspath(__file__))  # noqa: PTH100, PTH120 - pathlib is kept off the way to the first picture


def shipped_name(name: str, package: str = _PACKAGE) -> str:
    """The full name of a file or folder that ships, such as ``config/fieldmouse.yaml``.

    Raises ``FileNotFoundError`` naming both places looked in: the installation is incomplete.
    """
    places = [os.path.join(package, "_shipped", name), os.path.join(os.path.dirname(package), name)]  # noqa: PTH118, PTH120 - as above
    for place in places:
        if os.path.exists(place):  # noqa: PTH110 - as above
            return place
    raise FileNotFoundError(
        f"{name}: ships with Fieldmouse, but is neither {places[0]} nor {places[1]}; install it anew"
    )


def shipped(name: str) -> "Path":
    """As :func:`shipped_name`, as a path; raises ``FileNotFoundError`` likewise."""
    from pathlib import Path

    return Path(shipped_name(name))
