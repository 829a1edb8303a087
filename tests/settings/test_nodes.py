"""Files that are no settings at all, and files made at random: one clear line, never another error."""

import os
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import settings as effort
from hypothesis import strategies as st

from appliance.errors import Refused
from appliance.settings import Settings, load, load_or_default
from appliance.settings.nodes import LARGEST
from appliance.shipped import shipped

SPOILT = int(os.environ.get("FIELDMOUSE_SPOILT_FILES", "60"))
unhurried = effort(
    deadline=None, max_examples=SPOILT
)  # each example writes a file, and other work may hold up the disk

SHIPPED = shipped("config/fieldmouse.yaml").read_bytes()


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", ": empty; keys and values are wanted (leave the file away to have everything as it ships)"),
        (b"# nothing but a comment\n", ": empty; keys and values are wanted"),
        (b"---\n", ":2: nothing is written; its keys are wanted beneath it: format, system"),
        (b"\x7fELF\x02\x01\x01\x00", "not YAML: "),
        (b"format: 240p\n\xff\xfe\n", ":2: byte 0xff is no text; UTF-8 text is wanted"),
        (b"- format\n- 240p\n", ":1: is a list; its keys are wanted beneath it"),
        (b"240p\n", ":1: is '240p'; its keys are wanted beneath it"),
        (b"format: 240p\n---\nformat: 480i\n", ":2: a second document begins; one is wanted"),
        (b"format: &a 240p\n", ":1: an anchor or alias ('a'); write the value out instead"),
        (b"format: 240p\nsystem: *a\n", ":2: "),
        (b"stress: {seconds: !!int 10}\n", ":1: a tag ('tag:yaml.org,2002:int'); write the plain value instead"),
        (b"stress: !!python/object:os.system {}\n", ":1: a tag ("),
        (b"? [a, b]\n: c\n", ":1: a list or a group where the name of a key is wanted"),
        (b"? format\n: 480q\n", ":1: format: is '480q'"),
        (b"format: 240p\n\tsystem: PAL\n", ":2: not YAML: "),
        (b"format: 'never closed\n", ": "),
        (b"<<: {format: 240p}\n", ":1: <<: unknown"),
        (b"[" * 40, ":1: more than 16 levels deep"),
        (b"[" * 100_000, ":1: "),
        (b"#" * (LARGEST + 1), ": larger than 256 KiB"),
    ],
)
def test_no_settings(tmp_path: Path, data: bytes, says: str) -> None:
    """What is no file of keys and values is refused in one line naming the file and, where there is one, the line."""
    path = tmp_path / "own.yaml"
    path.write_bytes(data)
    with pytest.raises(Refused) as caught:
        load(path)
    assert str(caught.value).startswith(str(path))
    assert says in str(caught.value)
    assert str(caught.value).isprintable()


def test_a_folder_and_nothing(tmp_path: Path) -> None:
    """A folder or a pipe in place of a file, a file that is not there and an impossible name are refused."""
    os.mkfifo(tmp_path / "pipe.yaml")
    for odd in (tmp_path, tmp_path / "pipe.yaml"):
        with pytest.raises(Refused, match=f"{odd}: is no regular file; write a file of keys and values in its place"):
            load(odd)
    with pytest.raises(Refused, match="cannot be read: No such file or directory"):
        load(tmp_path / "none.yaml")
    with pytest.raises(Refused, match="cannot be read: embedded null byte"):
        load(Path("a\0b"))


def test_byte_order_mark(tmp_path: Path) -> None:
    """An editor's byte order mark at the start does no harm."""
    path = tmp_path / "own.yaml"
    path.write_bytes(b"\xef\xbb\xbfformat: 480i\n")
    assert load(path).format == "480i"


def settings_or_refused(data: bytes) -> None:
    """Load ``data`` as a person's file; anything but settings, or one line of refusal, is an error."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "own.yaml"
        path.write_bytes(data)
        settings, mistake = load_or_default(path)
    assert isinstance(settings, Settings)
    assert mistake is None or str(mistake).isprintable()


@unhurried
@given(st.binary(max_size=200))
def test_rubbish(data: bytes) -> None:
    """Random bytes give settings or a refusal."""
    settings_or_refused(data)


@unhurried
@given(st.text(st.sampled_from("format: systemNTSC240p[]{}&*!|>'\"%@`#,?-~<\n\t\\0\x85\u2028"), max_size=120))
def test_yamlish_rubbish(text: str) -> None:
    """Random strings of YAML's own characters give settings or a refusal."""
    settings_or_refused(text.encode())


@unhurried
@given(st.data())
def test_mutated(data: st.DataObject) -> None:
    """The shipped file with a piece cut out, doubled or written over gives settings or a refusal."""
    start = data.draw(st.integers(0, len(SHIPPED)))
    end = data.draw(st.integers(start, min(len(SHIPPED), start + 200)))
    patch = data.draw(st.one_of(st.just(SHIPPED[start:end] * 2), st.binary(max_size=8), st.just(b"")))
    settings_or_refused(SHIPPED[:start] + patch + SHIPPED[end:])


scalars = st.one_of(st.integers(), st.booleans(), st.none(), st.floats(), st.text(max_size=8), st.dates())
trees = st.recursive(
    scalars, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3)
)
groups = st.sampled_from(["format", "choices", "screen", "stress", "keys", "lamps", "gpio", "folders"])


@unhurried
@given(st.dictionaries(groups, trees, max_size=4))
def test_wrong_types(tree: dict[str, object]) -> None:
    """Values of every type in every place give settings or a refusal."""
    import yaml

    settings_or_refused(yaml.safe_dump(tree, allow_unicode=True).encode("utf-8", "surrogatepass"))
