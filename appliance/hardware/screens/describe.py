"""What the machine's graphics cards are and offer, for a person to read."""

from __future__ import annotations

from appliance.hardware.screens import drm, uapi
from appliance.hardware.screens.base import CardBusy
from appliance.hardware.screens.connectors import closed, list_connectors, read_properties, take, tv_property

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


def describe(folder: str = "/dev/dri", system: drm.System = drm.LINUX) -> list[dict[str, Any]]:
    """What each card is and offers; every card is given back before the next is looked at.

    Each entry has ``path`` and either ``trouble`` (why it could not be read) or ``driver``, ``held`` (another
    program holds its screen) and ``connectors``: for each ``name``, ``type``, ``status``, ``modes`` (the kernel's
    modeinfo as a dict) and ``tv_modes`` (names its colour system takes).
    """
    return [_describe_card(path, system) for path in system.cards(folder)]


def _describe_card(path: str, system: drm.System) -> dict[str, Any]:
    try:
        card = drm.Card(path, system)
    except OSError as error:
        return {"path": path, "trouble": str(closed(path, error))}
    try:
        return {"path": path, "driver": _driver(card), "held": _held(card), "connectors": _describe_connectors(card)}
    except OSError as error:
        return {"path": path, "trouble": f"{path}: cannot be read ({error.strerror})"}
    finally:
        card.close()


def _driver(card: drm.Card) -> str:
    answer = card.lists(uapi.VERSION, {"name": ("name_len", "B", 1)})
    return uapi.text(answer["name"].tobytes())


def _held(card: drm.Card) -> bool:
    try:
        take(card)
    except CardBusy:
        return True
    return False


def _describe_connectors(card: drm.Card) -> list[dict[str, Any]]:
    found = []
    for connector in list_connectors(card, probe=True):
        values = tv_property(read_properties(card, connector.id, uapi.CONNECTOR))
        modes = [{**mode, "name": uapi.text(mode["name"])} for mode in connector.modes]
        found.append(
            {
                "name": connector.name,
                "type": connector.name.rpartition("-")[0],
                "status": connector.status,
                "modes": modes,
                "tv_modes": list(values.values) if values else [],
            }
        )
    return found
