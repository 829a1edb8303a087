"""Which key of a kernel input device is which logical key, unless the settings say otherwise."""

from types import MappingProxyType

from appliance.presses.edges import BACK, FORWARD, GO, NOTE, VARY

# A number pad has 7 8 9 on top where the zones have 1 2 3: its digits go by where they lie, not by what is on them.
_PAD = dict(zip((7, 8, 9, 4, 5, 6, 1, 2, 3, 0), "1234567890", strict=True))

DEFAULT_MAP = MappingProxyType(
    {f"KEY_KP{cap}": digit for cap, digit in _PAD.items()}
    | {f"KEY_{digit}": digit for digit in "1234567890"}
    | {
        "KEY_KPENTER": GO,
        "KEY_KPPLUS": FORWARD,
        "KEY_KPMINUS": BACK,
        "KEY_KPASTERISK": VARY,
        "KEY_KPSLASH": NOTE,
        "KEY_KPDOT": NOTE,
        "KEY_RIGHT": FORWARD,
        "KEY_LEFT": BACK,
        "KEY_ENTER": GO,
        "KEY_V": VARY,
        "KEY_N": NOTE,
    }
)
"""The kernel's name of a key (linux/input-event-codes.h) → logical key."""
