"""What building the machine says and keeps; no machine is needed for it."""

from pathlib import Path

import pytest

from tests.machine import cache, tools


@pytest.fixture
def kept_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cache of the test's own."""
    monkeypatch.setenv("FIELDMOUSE_MACHINE_CACHE", str(tmp_path))
    return tmp_path


def test_each_missing_tool_is_named_with_its_package(tmp_path: Path) -> None:
    """A host without any tool is told all of them and where to get each."""
    said = tools.missing(path=str(tmp_path), user=0)
    assert said == [f"{tool} is not there: apt-get install {package}" for tool, package in tools.TOOLS.items()]


def test_not_being_root_is_a_reason(tmp_path: Path) -> None:
    """Without being root nothing can be built, whatever tools there are."""
    for tool in tools.TOOLS:
        (tmp_path / tool).touch(0o755)
    said = tools.missing(path=str(tmp_path), user=1000)
    assert len(said) == 1
    assert "you are not root" in said[0]


def test_key_follows_content_and_names(tmp_path: Path) -> None:
    """A change in a file, of its name, or of a text changes the key; the folder's own place does not."""
    keys = set()
    for place, name, text in (("a", "x", "1"), ("a", "x", "2"), ("a", "y", "2")):
        folder = tmp_path / f"{place}{name}{text}" / "source"
        folder.mkdir(parents=True)
        (folder / name).write_text(text)
        keys |= {cache.content_key(folder), cache.content_key(folder, "more")}
    assert len(keys) == 6
    again = tmp_path / "elsewhere" / "source"
    again.mkdir(parents=True)
    (again / "x").write_text("1")
    assert cache.content_key(again) in keys


def test_half_made_things_never_count(kept_in: Path) -> None:
    """What failed while it was made is made anew; what was made is not made again; old ones go."""

    def fails(into: Path) -> None:
        (into / "half").touch()
        raise RuntimeError("the power went")

    def works(into: Path) -> None:
        (into / "whole").touch()

    with pytest.raises(RuntimeError):
        cache.kept("thing", "1", fails)
    assert [f.name for f in cache.kept("thing", "1", works).iterdir()] == ["whole"]
    assert [f.name for f in cache.kept("thing", "1", fails).iterdir()] == ["whole"]
    for key in "2345":
        cache.kept("thing", key, works)
    assert sorted(f.name for f in kept_in.iterdir()) == ["thing-3", "thing-4", "thing-5"]


def test_folders_of_killed_processes_go(kept_in: Path) -> None:
    """A run's folder goes with it, and so does one whose process is no more; a living one's stays."""
    (kept_in / "run-999999999-dead").mkdir()
    (kept_in / "run-1-alive").mkdir()
    with cache.own_folder() as mine:
        assert sorted(f.name for f in kept_in.iterdir()) == sorted([mine.name, "run-1-alive"])
    assert [f.name for f in kept_in.iterdir()] == ["run-1-alive"]
