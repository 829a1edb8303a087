"""What can be set, as frozen dataclasses. ``config/fieldmouse.yaml`` explains each to people, with its usual value."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, NamedTuple

from appliance.settings.values import Folder, KernelKey, OrNone, Shaped, Truth, Whole, Word
from appliance.video.formats import FORMATS, TV_MODES, check_system, find_format

KEY_NAMES = ("forward", "back", "go", "vary", "note", *"0123456789")
"""The logical keys: the five, and the digits of a pad."""

LAMP_NAMES = ("ready", "running", "attention")

Pin = Annotated[int, Whole(0, 27)]
"""A GPIO line by its BCM number; the header of every board has 0 to 27."""

MaybePin = Annotated[int | None, OrNone(Whole(0, 27))]
MaybeKey = Annotated[str | None, OrNone(Word(*KEY_NAMES))]


_CONNECTOR = r"auto|(card[0-9]{1,3}-)?[A-Za-z][A-Za-z-]*-[0-9]{1,3}"


class Choice(NamedTuple):
    """A format and a system that go together."""

    format: str
    system: str


class Pair:
    """A choice written as a format and a system with a space between them."""

    allowed = "a format and a system that go together, such as 240p NTSC or 576i PAL,"

    def convert(self, text: str) -> Choice:
        """The choice; raises ``ValueError`` when the two are unknown or do not go together."""
        name, system = text.split()
        return Choice(name, check_system(find_format(name), system))


@dataclass(frozen=True)
class ScreenSettings:
    """``connector`` is ``auto`` or the name of a connector as the kernel has it."""

    connector: Annotated[str, Shaped(_CONNECTOR, "auto, or a name such as Composite-1,")]


@dataclass(frozen=True)
class StressSettings:
    """The white stress: seconds of full white, and of each purity field after it."""

    seconds: Annotated[int, Whole(1, 60, "seconds")]
    purity: Annotated[int, Whole(2, 60, "seconds")]


@dataclass(frozen=True)
class CaptionSettings:
    """How many seconds a caption stays."""

    seconds: Annotated[int, Whole(1, 30, "seconds")]


@dataclass(frozen=True)
class SingleKeys:
    """Five keys on a GPIO line each; ``None`` for one that is not there. ``active`` is the level while pressed."""

    forward: MaybePin
    back: MaybePin
    go: MaybePin
    vary: MaybePin
    note: MaybePin
    pull: Annotated[str, Word("up", "down", "none")]
    active: Annotated[str, Word("low", "high")]

    @property
    def pins(self) -> dict[str, int]:
        """Logical key → GPIO line, for the keys there are."""
        return {name: pin for name in KEY_NAMES[:5] if (pin := getattr(self, name)) is not None}


@dataclass(frozen=True)
class PadKeys:
    """A matrix pad: GPIO lines of its rows and columns, and the logical key at each crossing (``None``: nothing)."""

    use: Annotated[bool, Truth()]
    rows: tuple[Pin, ...]
    columns: tuple[Pin, ...]
    layout: tuple[tuple[MaybeKey, ...], ...]


@dataclass(frozen=True)
class DeviceKeys:
    """The kernel's input devices: its name of a key → the logical key (``None``: nothing)."""

    use: Annotated[bool, Truth()]
    map: Mapping[Annotated[str, KernelKey()], MaybeKey]

    @property
    def keys(self) -> dict[str, str]:
        """The map without the names that mean nothing."""
        return {name: key for name, key in self.map.items() if key is not None}


@dataclass(frozen=True)
class KeySettings:
    """All keys, and the milliseconds a contact must be quiet."""

    debounce_ms: Annotated[int, Whole(1, 200, "milliseconds")]
    single: SingleKeys
    pad: PadKeys
    devices: DeviceKeys


@dataclass(frozen=True)
class LampSettings:
    """Three lamps on a GPIO line each; ``None`` for one that is not there. ``active`` is the level that lights it."""

    ready: MaybePin
    running: MaybePin
    attention: MaybePin
    active: Annotated[str, Word("low", "high")]

    @property
    def pins(self) -> dict[str, int]:
        """Lamp → GPIO line, for the lamps there are."""
        return {name: pin for name in LAMP_NAMES if (pin := getattr(self, name)) is not None}


@dataclass(frozen=True)
class GpioSettings:
    """The gpiozero pin factory, and the chip: ``auto`` or ``gpiochipN``."""

    factory: Annotated[str, Word("fieldmouse", "lgpio", "rpigpio", "native", "pigpio", "mock")]
    chip: Annotated[str, Shaped(r"auto|gpiochip[0-9]{1,3}", "auto, or a name such as gpiochip0,")]


@dataclass(frozen=True)
class Folders:
    """Where the box keeps what must outlast the power, and what need not."""

    state: Annotated[Path, Folder()]
    run: Annotated[Path, Folder()]


@dataclass(frozen=True)
class Settings:
    """Everything that can be set."""

    format: Annotated[str, Word(*FORMATS)]
    system: Annotated[str, Word(*TV_MODES)]
    choices: tuple[Annotated[Choice, Pair()], ...]
    screen: ScreenSettings
    stress: StressSettings
    caption: CaptionSettings
    keys: KeySettings
    lamps: LampSettings
    gpio: GpioSettings
    folders: Folders
