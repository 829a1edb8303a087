"""Setting mode, colour system and picture together: in one atomic commit, or the old way step by step."""

from __future__ import annotations

from array import array

from appliance.hardware.screens import uapi
from appliance.hardware.screens.base import ModeRefused, NoConnector
from appliance.hardware.screens.connectors import Connector, read_properties, read_resources, tv_property

TYPE_CHECKING = False
if TYPE_CHECKING:
    from appliance.hardware.screens import drm
    from appliance.hardware.screens.connectors import Property
    from appliance.video.modeline import Mode

_PRIMARY = 1  # value of a plane's property "type"
_MARGINS = ("left margin", "right margin", "top margin", "bottom margin")


class Route:
    """The way from a connector back to its picture: connector, CRTC, primary plane, and their properties.

    ``plane`` is 0 when the card does not do atomic commits.
    """

    def __init__(self, connector: Connector) -> None:
        """Raises ``NoConnector`` when no CRTC leads to the connector, ``OSError`` when the card went away."""
        self.card, self.connector, self.name = connector.card, connector.id, connector.name
        crtcs = list(read_resources(self.card)["crtc_id_ptr"])
        self.crtc = _choose_crtc(connector, crtcs)
        self.properties = read_properties(self.card, self.connector, uapi.CONNECTOR)
        self.crtc_properties: dict[str, Property] = {}
        self.plane_properties: dict[str, Property] = {}
        self.plane = 0
        if _switch_on_atomic(self.card):
            self.properties = read_properties(self.card, self.connector, uapi.CONNECTOR)  # atomic ones now too
            self.crtc_properties = read_properties(self.card, self.crtc, uapi.CRTC)
            self.plane, self.plane_properties = _choose_plane(self.card, crtcs.index(self.crtc), self.crtc)

    def tv(self, mode: Mode) -> tuple[int, int]:
        """Property id and value of the mode's colour system; raises ``ModeRefused`` naming those there are."""
        found = tv_property(self.properties)
        if found is None:
            raise ModeRefused(f"{self.name} has no property TV mode; a kernel from 6.3 on is needed")
        if mode.tv_mode not in found.values:
            raise ModeRefused(f"{self.name} does not know TV mode {mode.tv_mode}; it knows {', '.join(found.values)}")
        return found.id, found.values[mode.tv_mode]

    def margins(self) -> dict[int, int]:
        """The connector's margins set to nothing: they would rescale the picture."""
        return {self.properties[name].id: 0 for name in _MARGINS if name in self.properties}


def _choose_crtc(connector: Connector, crtcs: list[int]) -> int:
    """The CRTC the connector has now; else one of those it can have, an idle one first."""
    card, current, possible = connector.card, 0, 0
    for encoder in connector.encoders:
        facts = card.call(uapi.GETENCODER, encoder_id=encoder)
        possible |= facts["possible_crtcs"]
        current = facts["crtc_id"] if encoder == connector.encoder else current
    able = [crtc for place, crtc in enumerate(crtcs) if possible >> place & 1]
    if not able:
        raise NoConnector(f"{card.path}: nothing drives {connector.name}")
    if current in able:
        return current
    return min(able, key=lambda crtc: card.call(uapi.GETCRTC, crtc_id=crtc)["mode_valid"])


def _switch_on_atomic(card: drm.Card) -> bool:
    try:
        card.call(uapi.SET_CLIENT_CAP, capability=uapi.CLIENT_CAP_ATOMIC, value=1)
    except OSError:
        return False
    return True


def _choose_plane(card: drm.Card, place: int, crtc: int) -> tuple[int, dict[str, Property]]:
    """The primary plane of the CRTC at ``place`` in the card's list, with its properties; 0 when there is none."""
    spare: tuple[int, dict[str, Property]] = (0, {})
    for plane in card.lists(uapi.GETPLANERESOURCES, {"plane_id_ptr": ("count_planes", "I", 1)})["plane_id_ptr"]:
        facts = card.call(uapi.GETPLANE, plane_id=plane)
        if not facts["possible_crtcs"] >> place & 1:
            continue
        properties = read_properties(card, plane, uapi.PLANE)
        if "type" not in properties or properties["type"].value != _PRIMARY:
            continue
        if facts["crtc_id"] == crtc:
            return plane, properties
        if not spare[0] and not facts["crtc_id"]:
            spare = plane, properties
    return spare


def modeinfo(mode: Mode) -> bytearray:
    """The kernel's form of the modeline."""
    line = mode.modeline
    timings = {name: value for name, value in zip(line._fields, line, strict=True) if name != "interlaced"}
    flags = uapi.MODE_FLAG_INTERLACE if line.interlaced else 0
    name = f"{line.hdisplay}x{line.vdisplay}{'i' if line.interlaced else ''}".encode()
    return uapi.MODEINFO.pack(**timings, flags=flags, type=uapi.MODE_TYPE_USERDEF, name=name)


def set_atomic(route: Route, mode: Mode, frame: int, token: int) -> None:
    """All in one commit, tried first as a test that touches nothing; a flip event with ``token`` follows.

    Raises ``OSError`` when the kernel refuses.
    """
    info = array("B", modeinfo(mode))
    blob = route.card.call(uapi.CREATEPROPBLOB, data=info.buffer_info()[0], length=len(info))["blob_id"]
    try:
        wanted = _wanted(route, mode, frame, blob)
        commit(route.card, wanted, uapi.ATOMIC_TEST_ONLY | uapi.ATOMIC_ALLOW_MODESET)
        commit(route.card, wanted, uapi.ATOMIC_ALLOW_MODESET | uapi.PAGE_FLIP_EVENT, token)
    finally:
        route.card.call(uapi.DESTROYPROPBLOB, blob_id=blob)  # the CRTC keeps its own hold on it


def _wanted(route: Route, mode: Mode, frame: int, blob: int) -> dict[int, dict[int, int]]:
    width, height = mode.modeline.hdisplay, mode.modeline.vdisplay
    place = {"SRC_X": 0, "SRC_Y": 0, "SRC_W": width << 16, "SRC_H": height << 16}
    place |= {"CRTC_X": 0, "CRTC_Y": 0, "CRTC_W": width, "CRTC_H": height}
    plane = {"FB_ID": frame, "CRTC_ID": route.crtc, **place}
    return {
        route.connector: {
            route.properties["CRTC_ID"].id: route.crtc,
            **dict([route.tv(mode)]),
            **route.margins(),
        },
        route.crtc: {route.crtc_properties["MODE_ID"].id: blob, route.crtc_properties["ACTIVE"].id: 1},
        route.plane: {route.plane_properties[name].id: value for name, value in plane.items()},
    }


def commit(card: drm.Card, wanted: dict[int, dict[int, int]], flags: int, token: int = 0) -> None:
    """One atomic commit: for each object the values of its properties. Raises ``OSError``."""
    objects, counts = array("I", wanted), array("I", [len(values) for values in wanted.values()])
    names = array("I", [name for values in wanted.values() for name in values])
    values = array("Q", [value for values in wanted.values() for value in values.values()])
    card.call(
        uapi.ATOMIC,
        flags=flags,
        count_objs=len(objects),
        objs_ptr=objects.buffer_info()[0],
        count_props_ptr=counts.buffer_info()[0],
        props_ptr=names.buffer_info()[0],
        prop_values_ptr=values.buffer_info()[0],
        user_data=token,
    )


def set_legacy(route: Route, mode: Mode, frame: int) -> None:
    """CRTC off, colour system, CRTC on: the way of cards that know no atomic commits. Raises ``OSError``.

    Off comes first because the colour system is checked against the modeline that runs.
    """
    name, value = route.tv(mode)
    route.card.call(uapi.SETCRTC, crtc_id=route.crtc)
    for number, setting in {**route.margins(), name: value}.items():
        route.card.call(
            uapi.OBJ_SETPROPERTY, prop_id=number, value=setting, obj_id=route.connector, obj_type=uapi.CONNECTOR
        )
    connectors = array("I", [route.connector])
    route.card.call(
        uapi.SETCRTC,
        crtc_id=route.crtc,
        fb_id=frame,
        set_connectors_ptr=connectors.buffer_info()[0],
        count_connectors=1,
        mode_valid=1,
        mode=bytes(modeinfo(mode)),
    )
