"""What is asked wrongly: one clear line on standard error, code 2, nothing half-written and nothing half-started."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from appliance.cli import main

Words = tuple[str, ...]
SETTINGS = {
    "empty": (b"", "empty"),
    "only-comments": (b"# nothing\n", "empty"),
    "binary": (bytes(range(256)), "bin.yaml"),
    "utf-16": ("format: 240p\n".encode("utf-16"), ""),
    "wrong-type": (b"stress:\n  seconds: [1, 2]\n", ":2: stress.seconds"),
    "no-number": (b"caption:\n  seconds: soon\n", ":2: caption.seconds"),
    "out-of-range": (b"stress:\n  seconds: 61\n", "1 to 60"),
    "pin-twice": (b"keys:\n  single:\n    go: 17\n", "GPIO 17"),
    "pin-out-of-range": (b"lamps:\n  ready: 28\n", "0 to 27"),
    "unknown-format": (b"format: 1080p\n", "240p"),
    "unknown-system": (b"format: 576i\nsystem: NTSC\n", "PAL"),
    "unknown-key": (b"stress:\n  secnds: 10\n", "the nearest is seconds"),
    "unknown-kernel-key": (b"keys:\n  devices:\n    map:\n      KEY_FOO: go\n", ":4: keys.devices.map.KEY_FOO"),
    "pressed-at-rest": (b"keys:\n  single:\n    active: high\n", ":3: keys.single.active"),
    "said-twice": (b"format: 240p\nformat: 480i\n", "written twice"),
    "a-list": (b"- format\n", ""),
    "yes": (b"keys:\n  pad:\n    use: maybe\n", "keys.pad.use"),
    "unclosed": (b"format: [240p\n", ""),
}
"""Name → a settings file's content, and what the one line says at least."""

SCRIPTS = {
    "empty": ("", "no event"),
    "unknown-key": ("0 show white\n1 press fire\n", ":2: key 'fire'"),
    "unknown-pattern": ("0 show wite\n", ":1:"),
    "unknown-variant": ("0 show white:3\n", ":1:"),
    "unknown-event": ("0 push go\n", ":1:"),
    "no-time": ("press go\n", ":1: time 'press'"),
    "negative": ("-1 press go\n", ":1: time '-1'"),
    "endless": ("0 hold go inf\n", ":1: holding time 'inf'"),
    "nothing-said": ("3\n", ":1:"),
    "too-much": ("0 end now\n", ":1:"),
}
"""Name → a script, and what the one line says at least."""


def refused(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """The one line with which the command is refused."""
    try:
        code: object = main(list(words))
    except SystemExit as left:  # the parser's way out
        code = left.code
    out, err = capsys.readouterr()
    assert (code, out) == (2, "")
    assert err.startswith("fieldmouse")
    assert err.endswith("\n")
    assert len(err.splitlines()) == 1
    return err


def files(folder: Path) -> dict[str, bytes | None]:
    """Everything beneath a folder."""
    return {str(path): path.read_bytes() if path.is_file() else None for path in sorted(folder.rglob("*"))}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "COMMAND"),
        (("paint",), "'paint'"),
        (("patterns", "--jsn"), "--jsn"),
        (("draw", "-o", "a.png"), "--all"),
        (("draw", "white"), "--out"),
        (("draw", "wite", "-o", "a.png"), "'wite'"),
        (("draw", "white:3", "-o", "a.png"), "'3'"),
        (("draw", "", "-o", "a.png"), "--all"),
        (("draw", "white", "-o", "."), "is a folder"),
        (("draw", "white", "-o", ""), "is a folder"),
        (("draw", "white", "--format", "1080p", "-o", "a.png"), "'1080p'"),
        (("draw", "white", "--field", "-1", "-o", "a.png"), "--field"),
        (("draw", "white", "--field", "two", "-o", "a.png"), "'two'"),
        (("draw", "white", "--all", "-o", "a"), "--all"),
        (("draw", "--all", "--format", "x", "-o", "a"), "'x'"),
        (("run", "--screen", "wall"), "'wall'"),
        (("run", "--screen", "memory", "--format", "625"), "'625'"),
        (("run", "--screen", "memory", "--for", "0"), "'0'"),
        (("run", "--screen", "memory", "--for", "nan"), "'nan'"),
        (("run", "--screen", "memory", "--for", "ever"), "'ever'"),
        (("run", "--screen", "memory", "--settings", "missing.yaml"), "missing.yaml"),
        (("run", "--screen", "memory", "--settings", "."), "."),
        (("window", "--settings", "missing.yaml"), "missing.yaml"),
        (("rehearse", "--settings", "two\nlines.yaml"), "two lines.yaml"),
        (("rehearse", "--script", "missing.txt"), "missing.txt"),
        (("rehearse", "--script", "."), "."),
    ],
    ids=lambda value: " ".join(value) or "nothing" if isinstance(value, tuple) else "",
)
def test_wrong_words(
    words: Words, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Unknown commands, patterns, variants, formats, counts, files: each is named."""
    monkeypatch.chdir(tmp_path)
    assert said in refused(capsys, *words)
    assert files(tmp_path) == {}


@pytest.mark.parametrize("command", [("rehearse", "--json"), ("run", "--screen", "memory"), ("window",)], ids=" ".join)
@pytest.mark.parametrize("name", SETTINGS)
def test_wrong_settings(name: str, command: Words, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A mistake in a file named on the command line is told with its place, before anything is opened or written."""
    content, said = SETTINGS[name]
    path = tmp_path / "bin.yaml"
    path.write_bytes(content)
    line = refused(capsys, *command, "--settings", str(path))
    assert str(path) in line
    assert said in line
    assert files(tmp_path) == {str(path): content}


@pytest.mark.parametrize("name", SCRIPTS)
def test_wrong_scripts(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """File and line, and what is allowed; no folder of pictures is begun."""
    text, said = SCRIPTS[name]
    path = tmp_path / "script.txt"
    path.write_text(text, encoding="utf-8")
    line = refused(capsys, "rehearse", "--script", str(path), "--out", str(tmp_path / "out"))
    assert str(path) in line
    assert said in line
    assert files(tmp_path) == {str(path): text.encode()}


def test_a_script_that_is_no_text(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Binary rubbish is refused as such."""
    path = tmp_path / "script.txt"
    path.write_bytes(bytes(range(255, -1, -1)))
    assert str(path) in refused(capsys, "rehearse", "--script", str(path), "--out", str(tmp_path / "out"))
    assert files(tmp_path) == {str(path): path.read_bytes()}


@pytest.mark.parametrize(
    "words",
    [
        ("draw", "white", "-o", "{}/none/a.png"),
        ("draw", "white", "-o", "{}/file/a.png"),
        ("draw", "white", "-o", "{}/folder"),
        ("draw", "white", "--raw", "-o", "{}/none/a.raw"),
        ("draw", "--all", "-o", "{}/file"),
        ("draw", "--all", "-o", "{}/none/all"),
        ("rehearse", "--out", "{}/file"),
        ("rehearse", "--out", "{}/file/pictures"),
        ("rehearse", "--json", "--out", "{}/file"),
    ],
    ids=" ".join,
)
def test_places_that_cannot_be_written(words: Words, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A missing folder, a file where a folder is wanted and the other way round: named, and all is as it was."""
    (tmp_path / "file").write_text("mine")
    (tmp_path / "folder").mkdir()
    before = files(tmp_path)
    given = [word.format(tmp_path) for word in words]
    assert given[-1] in refused(capsys, *given)
    assert files(tmp_path) == before


@pytest.mark.skipif(os.geteuid() == 0 and not Path("/usr/bin/setpriv").exists(), reason="root may read every file")
def test_a_file_one_may_not_read(tmp_path: Path) -> None:
    """The same one line, seen from outside."""
    path = tmp_path / "settings.yaml"
    path.write_text("format: 240p\n")
    path.chmod(0)
    drop = ["setpriv", "--bounding-set=-all", "--inh-caps=-all", "--reuid=65534", "--clear-groups", "--"]
    words = [sys.executable, "-m", "appliance", "rehearse", "--json", "--settings", str(path)]
    done = subprocess.run(
        [*(drop if os.geteuid() == 0 else []), *words], capture_output=True, text=True, timeout=60, check=False
    )
    if done.returncode != 2 and "Permission denied" in done.stderr and "appliance" not in done.stderr:
        pytest.skip(f"another user cannot start the interpreter here: {done.stderr.splitlines()[-1]}")
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert str(path) in done.stderr


def test_from_outside(tmp_path: Path) -> None:
    """As a process: the line on standard error, code 2, no traceback."""
    words = [sys.executable, "-m", "appliance", "run", "--screen", "memory", "--settings", str(tmp_path)]
    done = subprocess.run(words, capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"fieldmouse: {tmp_path}")
    assert done.stderr.count("\n") == 1


def test_no_desktop(tmp_path: Path) -> None:
    """A window where there is none to open it on: told at once, with what to do."""
    bare = {name: text for name, text in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    words = [sys.executable, "-m", "appliance", "window"]
    done = subprocess.run(
        words, capture_output=True, text=True, timeout=60, check=False, env={**bare, "HOME": str(tmp_path)}
    )
    assert done.returncode == 2
    assert "rehearse" in done.stderr
    assert done.stderr.count("\n") == 1
    assert files(tmp_path) == {}


@pytest.mark.parametrize("words", ["patterns --json", "rehearse --json"])
def test_a_reader_that_leaves(tmp_path: Path, words: str) -> None:
    """``… | head`` ends without a word, whether Python holds its output back or not."""
    words = f"{sys.executable} -m appliance {words} | head -n 1"
    held = {name: text for name, text in os.environ.items() if name != "PYTHONUNBUFFERED"}
    bare = {**held, "PYTHONUNBUFFERED": "1"} if "patterns" in words else held
    done = subprocess.run(
        ["sh", "-c", words], capture_output=True, text=True, timeout=60, check=False, cwd=tmp_path, env=bare
    )
    assert done.stdout.count("\n") == 1
    assert not done.stderr
