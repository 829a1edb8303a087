"""What is scanned out is what ``fieldmouse draw`` writes, bit for bit, once the caption is gone."""

import pytest

from tests.machine.box.handle import QUICK, Box

pytestmark = pytest.mark.machine


@pytest.mark.parametrize(("fmt", "system"), [("240p", "NTSC"), ("480i", "NTSC"), ("288p", "PAL"), ("576i", "PAL")])
def test_each_format(box: Box, fmt: str, system: str) -> None:
    """The crosshatch and the first patterns of the next families, stepped by vary held.

    Every pattern in every format is read back, without keys, by tests/machine/test_read_back.py.
    """
    found = box.patterns()
    first = {entry.family: entry.first for entry in reversed(found)}
    families = list(dict.fromkeys(entry.family for entry in found))
    begin = families.index("geometry") + 1
    names = ["crosshatch:white", *(first[family] for family in families[begin:] + families[:begin])][:3]
    box.drawn(*names, fmt=fmt)
    box.start(f"{QUICK}format: {fmt}\nsystem: {system}\nchoices: [{fmt} {system}]\n")
    for name in names:
        box.wait_picture(name, fmt)
        box.hold("vary", seconds=1.3)


def test_variants_of_the_crosshatch(box: Box) -> None:
    """Stepped by vary, its first variants in turn."""
    variants = box.pattern(0).variants[:6]
    box.drawn(*(f"crosshatch:{variant}" for variant in variants), fmt="240p")
    box.start(QUICK)
    for variant in variants:
        box.wait_picture(f"crosshatch:{variant}")
        box.press("vary")
