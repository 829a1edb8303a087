"""The list of overlays, in the form that the Raspberry Pi kernel keeps it (written from memory of that file)."""

from hypothesis import given
from hypothesis import strategies as st

from appliance.install.board import read_overlays
from appliance.install.check.overlay_readme import read_readme

README = """\
Introduction
============

The list of overlays and their parameters:

Name:   <The base DTB>
Info:   Configures the base Raspberry Pi hardware
Load:   <loaded automatically>
Params:
        act_led_gpio            Choose which GPIO to use for the activity LED
                                (in case you want to connect it to an external
                                device)
                                REQUIRED


Name:   vc4-fkms-v3d-pi4
Info:   Enable the firmware's display driver
Load:   dtoverlay=vc4-fkms-v3d-pi4,<param>
Params: cma-512                 CMA is 512MB (needs 1GB)
        cma-size                CMA size in bytes, 4MB aligned


Name:   vc4-kms-v3d
Info:   Enable the kernel's display driver
Load:   dtoverlay=vc4-kms-v3d,<param>
Params: cma-512                 CMA is 512MB (needs 1GB)
        noaudio                 Disable all HDMI audio (default "off")
        composite               Enable the composite output (default "off")
                                N.B. Disables all other outputs on a Pi 4.
        nohdmi                  Disable HDMI output


Name:   act-led
Info:   This overlay is deprecated
Load:   <Deprecated>
Params: <None>
"""


def test_read() -> None:
    """Names and parameters are found; what explains them is not taken for one."""
    found = read_readme(README)
    assert found["vc4-kms-v3d"] == ("cma-512", "noaudio", "composite", "nohdmi")
    assert found["vc4-fkms-v3d-pi4"] == ("cma-512", "cma-size")
    assert found["act-led"] == ()


def test_our_list_has_what_it_has() -> None:
    """Each parameter of the sample is in the list that ships, which is meant to be the same list."""
    assert set(read_readme(README)["vc4-kms-v3d"]) <= set(read_overlays()["vc4-kms-v3d"])


@given(st.text())
def test_anything(text: str) -> None:
    """Any other text gives something or nothing, never an error."""
    assert isinstance(read_readme(text), dict)
