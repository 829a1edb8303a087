"""The composite connector on a pretend kernel that is as unkind as the real one."""

from __future__ import annotations

import ast
import errno
import subprocess
import sys
from pathlib import Path

import pytest

from appliance.hardware.screens import buffers, kms
from appliance.hardware.screens.base import CardBusy, ModeRefused, NoConnector, ScreenTrouble
from appliance.hardware.screens.describe import describe
from appliance.hardware.screens.kms import PATIENCE, KmsScreen
from appliance.patterns.catalogue import Pattern, catalogue
from appliance.video.formats import FORMATS
from tests.hardware.screens.contract import MODES, NTSC_240P, PAL_288P, PAL_576I, await_flip, full, rows, window
from tests.hardware.screens.pretend_kernel import PretendCard, PretendKernel, fail
from tests.hardware.screens.rigs import KmsRig

PAGE_FLIP, SETCRTC, ATOMIC, ADDFB2, RMFB, CREATE_DUMB, GETCONNECTOR = 0xB0, 0xA2, 0xBC, 0xB8, 0xAF, 0xB2, 0xA7


def running(**card: bool) -> KmsRig:
    """A rig with 240p up."""
    rig = KmsRig(**card)
    rig.screen.start(NTSC_240P, full(rig, NTSC_240P))
    await_flip(rig)
    return rig


# Choosing the card


def test_the_composite_connector_is_found_by_its_type() -> None:
    """It may be on any card; the others are closed again and stay free for whoever wants them."""
    kernel = PretendKernel(card0=PretendCard(kind=11, status=1), card1=PretendCard(), card2=PretendCard(kind=15))
    screen = KmsScreen(system=kernel)
    assert screen.connector == "card1 Composite-1"
    assert [file.card for file in kernel.files.values()] == [kernel.by_path["/dev/dri/card1"]]


def test_only_the_composite_connector_is_probed() -> None:
    """Asking a display over HDMI what it can show takes long, and nobody wants to know."""
    assert set(KmsRig().card.probes) == {42}


def test_a_connector_can_be_named() -> None:
    """With its own name, or with its card's before it when two cards have one."""
    kernel = PretendKernel(card0=PretendCard(), card1=PretendCard())
    assert KmsScreen("card1-Composite-1", system=kernel).connector == "card1 Composite-1"
    assert KmsScreen("Composite-1", system=kernel).connector == "card0 Composite-1"
    with pytest.raises(NoConnector, match=r"no connector Composite-2 on /dev/dri/card0, /dev/dri/card1"):
        KmsScreen("Composite-2", system=kernel)


@pytest.mark.parametrize("status", [1, 3])
def test_connected_and_unknown_are_taken(status: int) -> None:
    """The Pi 5 says connected; boards before it cannot tell and say unknown."""
    assert KmsScreen(system=PretendKernel(card0=PretendCard(status=status))).connector


def test_disconnected_is_told() -> None:
    """The kernel would light a disconnected connector without a word; we say it, and let go of the card."""
    kernel = PretendKernel(card0=PretendCard(status=2))
    with pytest.raises(NoConnector, match="Composite-1 says disconnected"):
        KmsScreen(system=kernel)
    assert not kernel.files


def test_no_card_and_no_connector_are_told() -> None:
    """Each with where was looked and what to do."""
    with pytest.raises(NoConnector, match=r"no graphics card in /dev/dri; is the KMS driver switched on"):
        KmsScreen(system=PretendKernel())
    with pytest.raises(NoConnector, match=r"no composite connector on /dev/dri/card0; is composite switched on"):
        KmsScreen(system=PretendKernel(card0=PretendCard(kind=11)))


@pytest.mark.parametrize("root", [False, True])
def test_a_card_held_by_another_is_busy(root: bool) -> None:
    """Not even root pushes a program off its screen; once it is gone, opening anew succeeds."""
    kernel = PretendKernel(root=root, card0=PretendCard())
    first = KmsScreen(system=kernel)
    with pytest.raises(CardBusy, match="another program holds the screen"):
        KmsScreen(system=kernel)
    first.close()
    KmsScreen(system=kernel).close()


@pytest.mark.parametrize(("number", "kind"), [(errno.EACCES, CardBusy), (errno.ENODEV, ScreenTrouble)])
def test_a_card_that_cannot_be_opened_is_told(number: int, kind: type[ScreenTrouble]) -> None:
    """With its path; the group is named where it is the group."""
    with pytest.raises(kind, match="/dev/dri/card0"):
        KmsScreen(system=PretendKernel(card0=PretendCard(opening=number)))


def test_the_idle_crtc_of_those_possible_is_taken() -> None:
    """A CRTC that drives another display is left alone (the pretend card refuses any but its own)."""
    running(atomic=False)


# Setting modes


@pytest.mark.parametrize("atomic", [True, False])
def test_mode_and_colour_system_go_together(atomic: bool) -> None:
    """Every way from one mode to the next leaves exactly the modeline and TV mode asked for, and no margins."""
    rig = running(atomic=atomic)
    for mode in (*MODES, *reversed(MODES)):
        rig.screen.start(mode, full(rig, mode))
        running_mode = rig.card.state.mode
        assert [getattr(running_mode, name) for name in mode.modeline._fields[:-1]] == list(mode.modeline[:-1])
        assert running_mode.flags >> 4 & 1 == mode.modeline.interlaced
        assert rig.card.tv_modes[rig.card.state.tv] == mode.tv_mode
        assert set(rig.card.margins.values()) == {0}
        await_flip(rig)


def test_one_commit_tried_first() -> None:
    """On an atomic card a start is a test and a commit, and the old calls are not used."""
    rig = running()
    rig.card.calls.clear()
    rig.card.commits.clear()
    rig.screen.start(PAL_576I, full(rig, PAL_576I))
    assert rig.card.calls.count(ATOMIC) == 2
    assert not {SETCRTC, PAGE_FLIP} & set(rig.card.calls)
    assert len(rig.card.commits) == 1
    assert not rig.card.blobs


def test_refused_atomic_falls_back() -> None:
    """A card that refuses the commit although the bounds hold gets mode and colour system the old way."""
    rig = running()
    rig.card.refuse_atomic = True
    rig.screen.start(PAL_576I, full(rig, PAL_576I))
    await_flip(rig)
    assert rig.picture() == rows(720, 576).tobytes()
    assert rig.card.tv_modes[rig.card.state.tv] == "PAL"


def test_bounds_are_refused_before_the_kernel_is_asked() -> None:
    """The message names the bound, which the kernel's EINVAL would not."""
    rig = running()
    surface = full(rig, NTSC_240P)
    rig.card.calls.clear()
    with pytest.raises(ModeRefused, match="pixel clock is 13499 kHz"):
        rig.screen.start(NTSC_240P._replace(modeline=NTSC_240P.modeline._replace(clock=13499)), surface)
    assert not rig.card.calls


class StrictCard(PretendCard):
    """A card that takes only modes of 858 samples, whatever its colour system."""

    def check(self, state):  # type: ignore[no-untyped-def]
        if state.mode is not None and state.mode.htotal != 858:
            raise fail(errno.ERANGE)
        super().check(state)


@pytest.mark.parametrize("atomic", [True, False])
def test_refused_both_ways_tells_the_mode_and_keeps_the_picture(atomic: bool) -> None:
    """A mode that the kernel refuses both ways is named with its errors, and the picture before is up again."""
    card = StrictCard(atomic=atomic)
    screen = KmsScreen(clock=lambda: card.now, system=PretendKernel(card0=card))
    screen.start(NTSC_240P, screen.surface(rows(720, 240), 720, 240))
    card.advance(0.1)
    screen.read(card.now)
    with pytest.raises(ModeRefused, match=r"modeline 13500 720 740 .* TV mode PAL: .*ERANGE"):
        screen.start(PAL_288P, screen.surface(rows(720, 288), 720, 288))
    assert card.picture() == rows(720, 240).tobytes()
    assert (screen.fileno(), screen.due()) == (None, None)


@pytest.mark.parametrize("name", ["TV mode", "TV_mode", "mode"])
def test_the_property_by_its_older_names(name: str) -> None:
    """Kernels before 6.3 called it mode or TV_mode."""
    card = PretendCard(tv_property=name)
    screen = KmsScreen(system=PretendKernel(card0=card))
    screen.start(PAL_576I, screen.surface(rows(720, 576), 720, 576))
    assert card.tv_modes[card.state.tv] == "PAL"


def test_a_colour_system_the_card_does_not_know_is_refused() -> None:
    """The message tells those it knows."""
    screen = KmsScreen(system=PretendKernel(card0=PretendCard(tv_modes=("NTSC", "NTSC-J"))))
    with pytest.raises(ModeRefused, match="does not know TV mode PAL; it knows NTSC, NTSC-J"):
        screen.start(PAL_576I, screen.surface(rows(720, 576), 720, 576))


def test_no_property_for_the_colour_system_is_told() -> None:
    """A kernel without it cannot be made to send one colour system rather than another."""
    screen = KmsScreen(system=PretendKernel(card0=PretendCard(tv_property="brightness")))
    with pytest.raises(ModeRefused, match="has no property TV mode"):
        screen.start(NTSC_240P, screen.surface(rows(720, 240), 720, 240))


# Flips


def test_a_window_is_a_framebuffer_made_once() -> None:
    """Moving over positions seen before makes no new framebuffer, no new buffer, and copies nothing."""
    rig = running()
    whole = rows(800, 300)
    surface = rig.screen.surface(whole, 800, 300)
    path = [(x, x % 3) for x in range(8)]
    for at in path:
        rig.screen.flip(surface, at)
        await_flip(rig)
    rig.card.calls.clear()
    for at in path * 2:
        rig.screen.flip(surface, at)
        await_flip(rig)
        assert rig.picture() == window(whole, 800, at, NTSC_240P)
    assert set(rig.card.calls) == {PAGE_FLIP}


def test_framebuffers_are_few_and_go_with_their_surface() -> None:
    """At most so many are kept, the one on the screen among them; those of a freed surface are removed."""
    rig = running()
    surface = rig.screen.surface(rows(800, 300), 800, 300)
    for n in (*range(buffers.MOST_WINDOWS), 0, buffers.MOST_WINDOWS, 1, 2):
        rig.screen.flip(surface, (n % 80, n // 80))
        await_flip(rig)
        assert rig.card.state.mode is not None  # removing the one on the screen would turn it off
    assert len(rig.card.frames) == buffers.MOST_WINDOWS + 1
    rig.screen.flip(full(rig, NTSC_240P))
    await_flip(rig)
    rig.screen.free(surface)
    assert len(rig.card.frames) == 2


def test_framebuffers_of_another_mode_are_removed() -> None:
    """A change of size removes those of the old size, of every surface."""
    rig = running()
    tall = rig.screen.surface(rows(800, 700), 800, 700)
    for x in range(5):
        rig.screen.flip(tall, (x, 0))
        await_flip(rig)
    rig.screen.start(PAL_576I, tall)
    await_flip(rig)
    assert {frame[:2] for frame in rig.card.frames.values()} == {(720, 576)}


def test_memory_is_used_again() -> None:
    """A freed picture's memory serves the next of its size; a hundred pictures need no more than a few buffers."""
    rig = running()
    up = full(rig, NTSC_240P, 2)
    rig.screen.flip(up)
    await_flip(rig)
    rig.card.calls.clear()
    for seed in range(20):
        following = full(rig, NTSC_240P, seed)
        rig.screen.flip(following)
        await_flip(rig)
        rig.screen.free(up)
        up = following
    assert rig.card.calls.count(CREATE_DUMB) <= 2


def test_spare_memory_is_given_back() -> None:
    """Of many pictures freed only a few buffers are kept."""
    rig = running()
    for surface in [full(rig, NTSC_240P) for _ in range(10)]:
        rig.screen.free(surface)
    assert len(rig.card.buffers) == 1 + buffers.MOST_SPARE


def test_a_picture_no_card_can_keep_is_refused() -> None:
    """More than a pitch of 16 bits could take is a mistake of the caller's, told before the kernel is asked."""
    rig = running()
    with pytest.raises(ValueError, match="at most 4096 × 4096"):
        rig.screen.surface(rows(4097, 2), 4097, 2)


@pytest.mark.parametrize(
    ("key", "entry"),
    [pair for pair in catalogue().items() if pair[1].moving],
    ids=[key for key, entry in catalogue().items() if entry.moving],
)
def test_every_moving_picture_goes_up(key: str, entry: Pattern) -> None:
    """However wide it is, a window of it is a framebuffer within the 960 × 738 that drm-rp1-vec takes at most."""
    rig, fmt = running(), FORMATS["240p"]
    for variant in entry.variants:
        picture = entry.draw(fmt, variant)
        surface = rig.screen.surface(picture.frame, picture.frame.shape[1], picture.frame.shape[0])
        rig.screen.flip(surface, picture.at(1))
        await_flip(rig)
        assert rig.picture() == picture.field(1, fmt.lines, fmt.samples).tobytes(), (key, variant)


def test_busy_is_waited_for() -> None:
    """The kernel may not quite have done with the flip before: asked again a moment later it takes the next."""
    rig = running()
    rig.card.sticky = True
    rig.screen.flip(full(rig, NTSC_240P, 2))
    await_flip(rig)
    assert rig.picture() == rows(720, 240, 2).tobytes()


def test_busy_for_good_is_trouble() -> None:
    """A kernel that stays busy is told of after a few fields, not waited for for ever."""
    rig = running()
    other = next(iter(rig.kernel.files.values()))

    class Stuck(PretendCard):
        field_time = 1e9  # no field ever begins again

    rig.card.pending = other, 0, rig.card.state.frame
    rig.card.__class__ = Stuck
    with pytest.raises(ScreenTrouble, match="EBUSY"):
        rig.screen.flip(full(rig, NTSC_240P, 2))


def test_the_flip_after_a_start_is_its_own() -> None:
    """The event of a flip that a start overtook is passed over: what comes out is stamped in the new mode."""
    rig = running()
    rig.screen.flip(full(rig, NTSC_240P, 2))
    rig.screen.start(PAL_576I, full(rig, PAL_576I))
    assert rig.screen.read(rig.card.now) == []
    assert await_flip(rig).stamp > rig.card.origin


def test_a_lost_event_is_trouble_not_an_endless_wait() -> None:
    """A flip whose event never comes is told of after a second; until then nothing is said."""
    rig = running()
    rig.card.lose = 1
    rig.screen.flip(full(rig, NTSC_240P, 2))
    due = rig.screen.due()
    assert due == pytest.approx(rig.card.now + PATIENCE)
    rig.card.advance(PATIENCE - 0.01)
    assert rig.screen.read(rig.card.now) == []
    rig.card.advance(0.02)
    with pytest.raises(ScreenTrouble, match="never came"):
        rig.screen.read(rig.card.now)
    rig.screen.start(NTSC_240P, full(rig, NTSC_240P, 3))
    await_flip(rig)
    assert rig.picture() == rows(720, 240, 3).tobytes()


# Losing the screen


def test_a_card_gone_is_trouble() -> None:
    """Whatever is asked of it then; closing still works."""
    rig = running()
    surface = full(rig, NTSC_240P)
    rig.card.gone = True
    with pytest.raises(ScreenTrouble, match="went away"):
        rig.screen.flip(surface)
    with pytest.raises(ScreenTrouble, match="went away"):
        rig.screen.start(NTSC_240P, surface)
    with pytest.raises(ScreenTrouble, match="went away"):
        full(rig, NTSC_240P)
    rig.screen.close()


def test_another_master_is_trouble() -> None:
    """A program that took the screen over is told of; the mode is not tried the old way against it."""
    rig = running()
    surface = full(rig, PAL_576I)
    rig.card.master = None
    with pytest.raises(CardBusy, match="took the screen over"):
        rig.screen.flip(full(rig, NTSC_240P))
    rig.card.calls.clear()
    with pytest.raises(CardBusy):
        rig.screen.start(PAL_576I, surface)
    assert SETCRTC not in rig.card.calls


def test_closing_gives_the_card_back() -> None:
    """Mappings are gone too: one left would keep the card taken, and the next opener without the screen."""
    rig = running()
    rig.screen.free(full(rig, NTSC_240P))
    rig.screen.close()
    assert rig.card.master is None
    assert not rig.card.files
    assert rig.card.state.mode is None
    assert KmsScreen(system=rig.kernel).connector


# Describing


def test_describe_tells_and_lets_go() -> None:
    """Cards with their drivers, connectors, modes and colour systems; afterwards nobody holds anything."""
    kernel = PretendKernel(card0=PretendCard(), card1=PretendCard(opening=errno.EACCES))
    first, second = describe(system=kernel)
    composite = next(c for c in first["connectors"] if c["name"] == "Composite-1")
    assert (first["driver"], first["held"], composite["type"]) == ("pretend", False, "Composite")
    assert composite["status"] == "unknown"
    assert composite["modes"][0]["name"] == "720x480i"
    assert composite["tv_modes"][:2] == ["NTSC", "NTSC-443"]
    assert "group video" in second["trouble"]
    assert not kernel.files
    assert KmsScreen(system=kernel)


def test_describe_leaves_a_held_card_alone() -> None:
    """Looking while the box shows a picture neither takes the screen nor has the kernel probe."""
    rig = running()
    rig.card.probes.clear()
    assert describe(system=rig.kernel)[0]["held"]
    assert not rig.card.probes
    rig.screen.flip(full(rig, NTSC_240P))
    await_flip(rig)


# Lightness

ALLOWED = {"os", "fcntl", "mmap", "struct", "array", "errno", "collections", "select", "time", "__future__"}
OURS = ("appliance.video.modeline", "appliance.video.bounds", "appliance.hardware.screens", "appliance.errors")


def _imported(path: Path) -> set[str]:
    """Modules a file imports when it runs, those for type checkers left out."""
    found: set[str] = set()
    for node in ast.parse(path.read_text()).body:
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add(node.module or "")
    return found


@pytest.mark.parametrize("name", ["kms", "modeset", "buffers", "connectors", "drm", "uapi", "base"])
def test_imports_are_light(name: str) -> None:
    """The first picture waits for these: only the lightest parts of the standard library and of the house."""
    folder = Path(kms.__file__).parent
    heavy = {m for m in _imported(folder / f"{name}.py") - ALLOWED if not m.startswith(OURS)}
    assert not heavy


def test_nothing_heavy_comes_along() -> None:
    """In a fresh interpreter the import of the screen brings none of the modules that cost."""
    program = "import sys, appliance.hardware.screens.kms; print(*sys.modules)"
    output = subprocess.run(
        [sys.executable, "-I", "-S", "-c", f"import sys; sys.path.insert(0, {str(Path.cwd())!r}); {program}"],
        capture_output=True,
        check=True,
        text=True,
    )
    heavy = {"typing", "dataclasses", "enum", "logging", "re", "numpy", "contextlib", "functools", "ctypes", "pathlib"}
    assert not heavy & set(output.stdout.split())
