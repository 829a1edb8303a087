"""Lamps that were away with their chip and came back say what they said before."""

from appliance.hardware.keys.memory import MemoryKeys
from appliance.hardware.lamps.memory import Lit, MemoryLamps
from appliance.hardware.screens.memory import MemoryScreen
from appliance.hardware.sound.memory import MemorySound
from appliance.service.assemble import Hardware, Memory, assemble
from appliance.service.waiter import SimulatedWaiter
from appliance.settings import load


def test_lamps_are_told_again_after_their_chip_came_back() -> None:
    """The chip goes at two seconds; the new lamps are lit as the old ones were, the ready lamp that is."""
    waiter, keys, opened = SimulatedWaiter(), [MemoryKeys(), MemoryKeys()], list[MemoryLamps]()
    keys[0].unplug(2.0)

    def lamps() -> MemoryLamps:
        opened.append(MemoryLamps())
        return opened[-1]

    screen = MemoryScreen(waiter.clock)
    hardware = Hardware(lambda: screen, (("keys", lambda: keys.pop(0)),), lamps, MemorySound)
    assemble(load(), hardware, Memory(None, ""), waiter).run(6.0)
    assert [lamp.changes[1] for lamp in opened] == [Lit(ready=True), Lit(ready=True)]
