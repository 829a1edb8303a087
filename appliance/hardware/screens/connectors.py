"""Which cards there are, what connectors they have, and the way from the composite one to its picture."""

from __future__ import annotations

import errno
import os
from array import array

from appliance.hardware.screens import drm, uapi
from appliance.hardware.screens.base import CardBusy, CardClosed, NoConnector, ScreenTrouble

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import Any

COMPOSITE = 5
STATUS = {1: "connected", 2: "disconnected", 3: "unknown"}
TV_PROPERTIES = ("TV mode", "TV_mode", "mode")
"""Names the colour system's property has had, today's first: the older ones hold fewer values."""

# The kernel's own names, by type (drivers/gpu/drm/drm_connector.c).
_TYPES = (
    *("Unknown", "VGA", "DVI-I", "DVI-D", "DVI-A", "Composite", "SVIDEO", "LVDS", "Component", "DIN", "DP"),
    *("HDMI-A", "HDMI-B", "TV", "eDP", "Virtual", "DSI", "DPI", "Writeback", "SPI", "USB"),
)


class Connector:
    """One connector of a card as the kernel last knew it; ``probe`` has the kernel look anew and list its modes."""

    __slots__ = ("card", "encoder", "encoders", "id", "kind", "modes", "name", "status")

    def __init__(self, card: drm.Card, number: int, *, probe: bool = False) -> None:
        """Raises ``OSError``."""
        wanted = {"encoders_ptr": ("count_encoders", "I", 1), "modes_ptr": ("count_modes", "B", uapi.MODEINFO.size)}
        if not probe:  # a place for one mode keeps the kernel from asking the display, which may take long
            spare = array("B", bytes(uapi.MODEINFO.size))
            facts = card.call(uapi.GETCONNECTOR, connector_id=number, count_modes=1, modes_ptr=spare.buffer_info()[0])
        else:
            facts = card.lists(uapi.GETCONNECTOR, wanted, connector_id=number)
        self.card, self.id, self.kind = card, number, facts["connector_type"]
        kind = _TYPES[self.kind] if self.kind < len(_TYPES) else "Unknown"
        self.name = f"{kind}-{facts['connector_type_id']}"
        self.status = STATUS.get(facts["connection"], "unknown")
        self.encoder = facts["encoder_id"]
        self.encoders = list(facts["encoders_ptr"]) if probe else []
        self.modes = read_modes(facts["modes_ptr"].tobytes()) if probe else []

    def answers_to(self, wanted: str | None) -> bool:
        """Whether this is a composite connector, or the one called ``wanted`` (with or without its card's name)."""
        if wanted is None:
            return bool(self.kind == COMPOSITE)
        return wanted in (self.name, f"{os.path.basename(self.card.path)}-{self.name}")  # noqa: PTH119 - pathlib is heavy


def read_modes(data: bytes) -> list[dict[str, Any]]:
    """The modes in the kernel's list."""
    size = uapi.MODEINFO.size
    return [uapi.MODEINFO.unpack(data[start : start + size]) for start in range(0, len(data), size)]


def list_connectors(card: drm.Card, *, probe: bool = False) -> Iterator[Connector]:
    """The card's connectors; none when it drives no displays. Raises ``OSError`` when the card went away."""
    try:
        resources = read_resources(card)
    except OSError as error:
        if error.errno in (errno.EOPNOTSUPP, errno.EINVAL, errno.ENOSYS):
            return  # a card that only computes
        raise
    for number in resources["connector_id_ptr"]:
        yield Connector(card, number, probe=probe)


def read_resources(card: drm.Card) -> dict[str, Any]:
    """The card's CRTCs, connectors and encoders by id."""
    kinds = ("crtc", "connector", "encoder")
    return card.lists(uapi.GETRESOURCES, {f"{kind}_id_ptr": (f"count_{kind}s", "I", 1) for kind in kinds})


def find_connector(system: drm.System, folder: str, wanted: str | None) -> Connector:
    """The composite connector (or the one called ``wanted``), its card open and ours alone.

    Raises ``NoConnector`` when no card has it or nothing can be plugged to it, ``CardBusy`` when its card, or one
    that may have it, is closed to us.
    """
    troubles: list[ScreenTrouble] = []
    for path in system.cards(folder):
        try:
            card = drm.Card(path, system)
        except OSError as error:
            troubles.append(closed(path, error))
            continue
        try:
            found = _find_on(card, wanted)
        except (OSError, ScreenTrouble) as error:
            card.close()
            troubles.append(error if isinstance(error, ScreenTrouble) else ScreenTrouble(f"{path}: {error.strerror}"))
            continue
        if found:
            return found
        card.close()
    raise troubles[0] if troubles else _missing(system.cards(folder), folder, wanted)


def _find_on(card: drm.Card, wanted: str | None) -> Connector | None:
    for connector in list_connectors(card):
        if connector.answers_to(wanted):
            take(card)
            return _usable(Connector(card, connector.id, probe=True))
    return None


def take(card: drm.Card) -> None:
    """Be sure to be the card's master; raises ``CardBusy``. Asking again is allowed to who is it already."""
    try:
        card.call(uapi.SET_MASTER)
    except OSError as error:
        why = f"{card.path}: another program holds the screen ({error.strerror}); stop it, and this one takes over"
        raise CardBusy(why) from error


def _usable(connector: Connector) -> Connector:
    # The kernel lights a connector that says it is disconnected without a word, so we look. Boards up to the Pi 4
    # cannot tell and say "unknown"; the Pi 5 says "connected".
    if connector.status == "disconnected":
        raise NoConnector(f"{connector.card.path}: {connector.name} says disconnected; is composite switched on?")
    return connector


def closed(path: str, error: OSError) -> ScreenTrouble:
    """What it means that the card at ``path`` could not be opened."""
    if error.errno in (errno.EACCES, errno.EPERM):
        return CardClosed(f"{path}: may not be opened; the user has to be in the group video")
    if error.errno == errno.EBUSY:
        return CardBusy(f"{path}: another program holds the card; stop it, and this one takes over")
    return ScreenTrouble(f"{path}: cannot be opened ({error.strerror})")


def _missing(cards: list[str], folder: str, wanted: str | None) -> NoConnector:
    what = "composite connector" if wanted is None else f"connector {wanted}"
    if not cards:
        return NoConnector(f"no {what}: there is no graphics card in {folder}; is the KMS driver switched on?")
    return NoConnector(f"no {what} on {', '.join(cards)}; is composite switched on in the boot files?")


class Property:
    """A property of a connector, CRTC or plane: its id, its value, and the values it may have by name, if listed."""

    __slots__ = ("id", "value", "values")

    def __init__(self, number: int, value: int, values: dict[str, int]) -> None:
        self.id, self.value, self.values = number, value, values


def read_properties(card: drm.Card, number: int, kind: int) -> dict[str, Property]:
    """The properties of an object by name; raises ``OSError``."""
    wanted = {"props_ptr": ("count_props", "I", 1), "prop_values_ptr": ("count_props", "Q", 1)}
    facts = card.lists(uapi.OBJ_GETPROPERTIES, wanted, obj_id=number, obj_type=kind)
    return dict(_property(card, *pair) for pair in zip(facts["props_ptr"], facts["prop_values_ptr"], strict=True))


def _property(card: drm.Card, number: int, value: int) -> tuple[str, Property]:
    facts = card.call(uapi.GETPROPERTY, prop_id=number)
    values = _values(card, number) if facts["flags"] & uapi.PROP_ENUM else {}
    return uapi.text(facts["name"]), Property(number, value, values)


def _values(card: drm.Card, number: int) -> dict[str, int]:
    wanted = {"enum_blob_ptr": ("count_enum_blobs", "B", uapi.ENUM.size)}
    data = card.lists(uapi.GETPROPERTY, wanted, prop_id=number)["enum_blob_ptr"].tobytes()
    entries = (uapi.ENUM.unpack(data[start : start + uapi.ENUM.size]) for start in range(0, len(data), uapi.ENUM.size))
    return {uapi.text(entry["name"]): entry["value"] for entry in entries}


def tv_property(properties: dict[str, Property]) -> Property | None:
    """The connector's property for the colour system, today's or an older one; None when it has none."""
    return next((properties[name] for name in TV_PROPERTIES if name in properties), None)
