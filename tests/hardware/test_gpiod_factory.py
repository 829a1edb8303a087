"""The pin factory on a chip in memory, driven through gpiozero's own devices."""

import errno
import gc
import select
import threading
from collections.abc import Iterator
from importlib.metadata import entry_points

import gpiozero
import pytest
from gpiozero import Button, DigitalInputDevice, DigitalOutputDevice, GPIOPinInUse, InputDevice

from appliance.hardware.gpiod_factory import GpiodFactory, find_chip
from tests.hardware.fake_gpiod import Bias, Direction, Edge, FakeChip, FakeGpiod


@pytest.fixture
def chip() -> FakeChip:
    """A chip of 54 lines."""
    return FakeChip()


@pytest.fixture
def factory(chip: FakeChip) -> Iterator[GpiodFactory]:
    """An unthreaded factory on it."""
    with_chip = GpiodFactory(threaded=False, gpiod=FakeGpiod({"/dev/gpiochip0": chip}), paths=["/dev/gpiochip0"])
    yield with_chip
    with_chip.close()


def ready(factory: GpiodFactory) -> bool:
    """Whether a loop would wake for the factory."""
    return bool(select.select([factory.fileno()], [], [], 0)[0])


def test_input_reads_through_its_pull(chip: FakeChip, factory: GpiodFactory) -> None:
    """A pulled-up input is inactive while open and active while pulled to ground."""
    with InputDevice(17, pull_up=True, pin_factory=factory) as device:
        assert chip.requests[17].settings.bias is Bias.PULL_UP
        assert device.value == 0
        chip.drive(17, 0)
        assert device.value == 1


@pytest.mark.parametrize(("pull", "bias"), [(True, Bias.PULL_UP), (False, Bias.PULL_DOWN), (None, Bias.DISABLED)])
def test_pulls(chip: FakeChip, factory: GpiodFactory, pull: bool | None, bias: object) -> None:
    """Up, down and none reach the kernel, and read back as gpiozero has them."""
    state = True if pull is None else None
    with InputDevice(4, pull_up=pull, active_state=state, pin_factory=factory) as device:
        assert chip.requests[4].settings.bias is bias
        assert device.pull_up is pull


def test_edges_wake_the_loop_and_call_back(chip: FakeChip, factory: GpiodFactory) -> None:
    """Both edges make the file readable, and are told in order when dispatched, on the caller's thread."""
    told: list[tuple[str, str]] = []
    with DigitalInputDevice(17, pull_up=True, pin_factory=factory) as device:
        device.when_activated = lambda: told.append(("on", threading.current_thread().name))
        device.when_deactivated = lambda: told.append(("off", threading.current_thread().name))
        assert not ready(factory)
        chip.drive(17, 0)
        chip.drive(17, None)
        assert ready(factory)
        assert told == []
        factory.dispatch()
        assert not ready(factory)
    here = threading.current_thread().name
    assert told == [("on", here), ("off", here)]


def test_nothing_happens_while_nothing_happens(chip: FakeChip, factory: GpiodFactory) -> None:
    """Dispatching with no edge makes no call to the kernel and none to the device."""
    with DigitalInputDevice(17, pull_up=True, pin_factory=factory):
        calls = chip.calls
        for _ in range(100):
            factory.dispatch()
        assert chip.calls == calls


@pytest.mark.parametrize(("edges", "told"), [("rising", [1]), ("falling", [0]), ("both", [0, 1]), ("none", [])])
def test_only_the_edges_asked_for(chip: FakeChip, factory: GpiodFactory, edges: str, told: list[int]) -> None:
    """The kernel is asked for just these edges."""
    pin, states = factory.pin(5), []
    pin.input_with_pull("up")
    pin.edges = edges
    pin.when_changed = lambda _, state: states.append(state)
    chip.drive(5, 0)
    chip.drive(5, 1)
    factory.dispatch()
    assert states == told
    pin.when_changed = None
    assert chip.requests[5].settings.edge_detection is Edge.NONE


def test_ticks_are_the_kernels(chip: FakeChip, factory: GpiodFactory) -> None:
    """A change is told with the kernel's own stamp, not with the time it was read."""
    pin, ticks = factory.pin(5), []
    pin.input_with_pull("up")
    pin.when_changed = lambda at, _: ticks.append(at)
    before = factory.ticks()
    chip.drive(5, 0)
    after = factory.ticks()
    factory.dispatch()
    assert before <= ticks[0] <= after
    assert factory.ticks_diff(after, before) == after - before


def test_chatter_beyond_the_buffer_ends_right(chip: FakeChip, factory: GpiodFactory) -> None:
    """When the kernel drops edges of a long burst, the last one told is the last one there was."""
    pin, states = factory.pin(5), []
    pin.input_with_pull("up")
    pin.when_changed = lambda _, state: states.append(state)
    for n in range(301):
        chip.drive(5, n % 2)
    factory.dispatch()
    assert states[-1] == 0


@pytest.mark.parametrize("high", [True, False])
@pytest.mark.parametrize("lit", [True, False])
def test_output_starts_at_its_value_without_a_blip(
    chip: FakeChip, factory: GpiodFactory, high: bool, lit: bool
) -> None:
    """The request itself carries the first level."""
    with DigitalOutputDevice(22, active_high=high, initial_value=lit, pin_factory=factory) as device:
        assert chip.requests[22].settings.direction is Direction.OUTPUT
        assert chip.calls == 1
        assert chip.level(22) == (lit is high)
        device.toggle()
        assert chip.level(22) == (lit is not high)
        assert device.value == (not lit)


def test_close_releases_the_line(chip: FakeChip, factory: GpiodFactory) -> None:
    """A closed device leaves nothing requested, and its pin can be had again, as another thing."""
    InputDevice(17, pull_up=True, pin_factory=factory).close()
    assert chip.requests == {}
    with DigitalOutputDevice(17, pin_factory=factory):
        assert list(chip.requests) == [17]
    factory.close()
    assert chip.opened == 0


def test_forgotten_device_is_released(chip: FakeChip, factory: GpiodFactory) -> None:
    """A device nobody holds any more is closed as with gpiozero's own factories: its pin keeps no hold of it."""
    DigitalInputDevice(17, pull_up=True, pin_factory=factory)
    gc.collect()
    assert chip.requests == {}


def test_pins_have_one_object_and_one_owner(factory: GpiodFactory) -> None:
    """The same pin by number and by name is the same object, and two devices cannot have it."""
    assert factory.pin(17) is factory.pin("GPIO17") is factory.pin("BCM17")
    with InputDevice(17, pull_up=True, pin_factory=factory), pytest.raises(GPIOPinInUse, match="GPIO17 is already"):
        DigitalOutputDevice("GPIO17", pin_factory=factory)


@pytest.mark.parametrize("name", [54, -1, "GPIO99", "J8:11", "x", ""])
def test_no_such_pin(factory: GpiodFactory, name: int | str) -> None:
    """A pin the chip does not have is refused, naming it and what there is."""
    with pytest.raises(gpiozero.PinInvalidPin, match="BCM numbers 0 to 53"):
        InputDevice(name, pull_up=True, pin_factory=factory)


def test_line_taken_by_another_program(chip: FakeChip, factory: GpiodFactory) -> None:
    """EBUSY from the kernel comes out as it is, and leaves no reservation behind."""
    other = FakeGpiod({"c": chip}).Chip("c").request_lines({17: FakeGpiod.LineSettings()}, "other", 1)
    with pytest.raises(OSError, match="busy") as caught:
        InputDevice(17, pull_up=True, pin_factory=factory)
    assert caught.value.errno == errno.EBUSY
    other.release()
    InputDevice(17, pull_up=True, pin_factory=factory).close()


def test_wrong_uses_are_refused(factory: GpiodFactory) -> None:
    """gpiozero's own errors, naming value and pin."""
    pin = factory.pin(3)
    with pytest.raises(gpiozero.PinInvalidPull, match="sideways"):
        pin.pull = "sideways"
    with pytest.raises(gpiozero.PinInvalidFunction, match="alt5"):
        pin.function = "alt5"
    with pytest.raises(gpiozero.PinSetInput, match="GPIO3"):
        pin.state = 1
    with pytest.raises(ValueError, match="sometimes"):
        pin.edges = "sometimes"
    with pytest.raises(gpiozero.PinPWMUnsupported):
        pin.frequency = 100
    assert pin.frequency is None


def test_vanished_chip_is_told_once_and_falls_silent(chip: FakeChip, factory: GpiodFactory) -> None:
    """When the chip goes the owner of each used pin is told, the loop is not woken again, and each use says ENODEV."""
    told: list[tuple[int, int | None]] = []
    for number in (5, 6):
        pin = factory.pin(number)
        pin.input_with_pull("up")
        pin.when_changed = lambda *_: None
        pin.when_lost = lambda error, number=number: told.append((number, error.errno))
    chip.vanish()
    assert ready(factory)
    factory.dispatch()
    assert sorted(told) == [(5, errno.ENODEV), (6, errno.ENODEV)]
    assert not ready(factory)
    for use in (lambda: factory.pin(5).state, lambda: factory.pin(7).input_with_pull("up")):
        with pytest.raises(OSError, match="No such device"):
            use()
    chip.gone = False  # another chip under the old name is not the one these pins belong to
    with pytest.raises(OSError, match="No such device"):
        factory.pin(7).input_with_pull("up")
    assert len(told) == 2


def test_lamp_on_a_vanished_chip_tells_the_keys(chip: FakeChip, factory: GpiodFactory) -> None:
    """A write that finds the chip gone tells the owners of the inputs too."""
    told: list[OSError] = []
    pin = factory.pin(5)
    pin.input_with_pull("up")
    pin.when_lost = told.append
    lamp = DigitalOutputDevice(22, pin_factory=factory)
    chip.vanish()
    with pytest.raises(OSError, match="No such device"):
        lamp.on()
    assert [error.errno for error in told] == [errno.ENODEV]
    lamp.close()


@pytest.mark.parametrize("label", ["pinctrl-rp1", "pinctrl-bcm2711", "pinctrl-bcm2835"])
def test_chip_is_found_by_its_label(label: str) -> None:
    """Among other chips, and ones that may not be opened, the header's is taken."""
    chips = {"a": FakeChip("raspberrypi-exp-gpio"), "b": None, "c": FakeChip(label), "d": FakeChip("gpio-brcmstb")}
    assert find_chip(FakeGpiod(chips), list(chips)) == "c"


def test_no_chip_says_what_there_is() -> None:
    """The error names the chips seen and why one could not be looked at."""
    with pytest.raises(OSError, match=r"a \(other\), b \(Permission denied\)"):
        find_chip(FakeGpiod({"a": FakeChip("other"), "b": None}), ["a", "b"])
    with pytest.raises(OSError, match="no /dev/gpiochip at all"):
        find_chip(FakeGpiod({}), [])


def test_named_chip_is_taken_whatever_its_label() -> None:
    """A path from the settings is used as it is."""
    factory = GpiodFactory("/dev/x", False, gpiod=FakeGpiod({"/dev/x": FakeChip("mine", 8)}))
    with pytest.raises(gpiozero.PinInvalidPin, match="0 to 7"):
        factory.pin(8)
    factory.close()


def test_thread_calls_back_and_ends(chip: FakeChip) -> None:
    """Threaded, an edge calls the device back from the factory's one thread, which is gone after close."""
    factory = GpiodFactory("c", gpiod=FakeGpiod({"c": chip}))
    pressed, released = threading.Event(), threading.Event()
    with DigitalInputDevice(17, pull_up=True, pin_factory=factory) as device:
        device.when_activated = pressed.set
        device.when_deactivated = released.set
        chip.drive(17, 0)
        assert pressed.wait(10)
        chip.drive(17, 1)
        assert released.wait(10)
    factory.close()
    factory.close()
    assert [t for t in threading.enumerate() if t.name == "gpiod edges"] == []


def test_thread_survives_a_bad_callback(chip: FakeChip, caplog: pytest.LogCaptureFixture) -> None:
    """A callback that raises is logged, and the next edge is told all the same."""
    factory = GpiodFactory("c", gpiod=FakeGpiod({"c": chip}))
    again = threading.Event()
    bad, good = factory.pin(1), factory.pin(2)

    def fail(_ticks: float, _state: int) -> None:
        raise RuntimeError("bad callback")

    for pin, call in ((bad, fail), (good, lambda *_: again.set())):
        pin.input_with_pull("up")
        pin.when_changed = call
    chip.drive(1, 0)
    chip.drive(2, 0)
    assert again.wait(10)
    factory.close()
    assert "bad callback" in caplog.text


def test_gpiozero_finds_it_by_its_entry_point() -> None:
    """``GPIOZERO_PIN_FACTORY=fieldmouse_gpiod`` leads here once the package is installed."""
    found = list(entry_points(group="gpiozero_pin_factories", name="fieldmouse_gpiod"))
    if not found:
        pytest.skip("the package is not installed in this environment")
    assert found[0].load() is GpiodFactory


def test_gpiozeros_button_works_on_it(chip: FakeChip) -> None:
    """The factory serves gpiozero's own devices, threads and all."""
    factory = GpiodFactory("c", gpiod=FakeGpiod({"c": chip}))
    with Button(17, pin_factory=factory) as button:
        chip.drive(17, 0)
        assert button.wait_for_press(10)
    factory.close()
