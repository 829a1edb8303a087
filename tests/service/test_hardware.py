"""Which hardware is opened for which screen."""

from typing import Any

import pytest

from appliance.service.hardware import DEVICES, Pins, find_hardware, key_openers
from appliance.settings import load


@pytest.mark.parametrize(("screen", "wanted"), [("kms", ["keys", DEVICES]), ("memory", ["keys"])])
def test_input_devices_are_for_the_lead(screen: str, wanted: list[str]) -> None:
    """With the picture on the lead the box has the keyboards; with one in memory they are left to who tries it."""
    assert [name for name, _ in find_hardware(load(), screen).keys] == wanted


@pytest.mark.parametrize("grab", [True, False])
def test_grabbing_is_handed_down(grab: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """The opener of the input devices grabs them as it was told."""
    told: list[bool] = []

    def opened(keymap: dict[str, str], *, grab: bool) -> Any:
        told.append(grab)

    monkeypatch.setattr("appliance.hardware.keys.input_devices.InputKeys", opened)
    dict(key_openers(load(), Pins(load()), grab=grab))[DEVICES]()
    assert told == [grab]
