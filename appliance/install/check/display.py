"""The composite connector: whether there is one, what it offers, and whether somebody holds its card."""

from collections.abc import Iterator
from typing import Any

from appliance.install.check.line import Line, State
from appliance.install.check.sources import Sources
from appliance.settings import Settings
from appliance.video.formats import TV_MODES

_INSTALL = "on a Raspberry Pi: sudo fieldmouse install, then restart"


def check_display(settings: Settings, sources: Sources, running: bool) -> Iterator[Line]:
    """Cards and connectors. Each card is given back at once by the one who describes it."""
    cards = sources.cards()
    for card in cards:
        if "trouble" in card:
            yield Line("card", State.LOOK, card["trouble"], "be a member of the group video, or use sudo")
    wanted = settings.screen.connector
    found = [(card, c) for card in cards for c in card.get("connectors", []) if _answers(card, c, wanted)]
    if not found:
        yield _no_connector(cards, wanted)
    for card, connector in found[:1]:
        yield _offers(card, connector)
        yield _systems(settings, connector)
        yield _holder(card, running)


def _answers(card: dict[str, Any], connector: dict[str, Any], wanted: str) -> bool:
    if wanted == "auto":
        return bool(connector["type"] == "Composite")
    return wanted in (connector["name"], f"{str(card['path']).rpartition('/')[2]}-{connector['name']}")


def _no_connector(cards: list[dict[str, Any]], wanted: str) -> Line:
    names = [c["name"] for card in cards for c in card.get("connectors", [])]
    seen = f"there is: {', '.join(names)}" if names else "no card with a connector"
    what = "no composite connector" if wanted == "auto" else f"no connector {wanted} (screen.connector)"
    return Line("composite", State.WRONG, f"{what}; {seen}", _INSTALL)


def _offers(card: dict[str, Any], connector: dict[str, Any]) -> Line:
    modes = ", ".join(dict.fromkeys(mode["name"] for mode in connector["modes"])) or "no modes by itself"
    seen = f"{connector['name']} on {card['path']} ({card['driver']}), {connector['status']}, offers {modes}"
    return Line("composite", State.FINE, seen)


def _systems(settings: Settings, connector: dict[str, Any]) -> Line:
    offered = connector["tv_modes"]
    if not offered:
        return Line("systems", State.WRONG, "the connector has no TV mode", "a kernel of 6.3 or later is needed")
    lacking = [c.system for c in settings.choices if TV_MODES[c.system] not in offered]
    if lacking:
        seen = f"{', '.join(dict.fromkeys(lacking))} not among {', '.join(offered)}"
        return Line("systems", State.LOOK, seen, "take them out of choices in the settings, or update the kernel")
    return Line("systems", State.FINE, ", ".join(offered))


def _holder(card: dict[str, Any], running: bool) -> Line:
    if not card["held"]:
        return Line("card", State.FINE, f"{card['path']} is free")
    if running:
        return Line("card", State.FINE, f"{card['path']} is held, and the box is running")
    return Line("card", State.WRONG, f"{card['path']} is held by another program", "stop it (a desktop, most likely)")
