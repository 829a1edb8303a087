"""Golden frames: what every pattern drew when it was last accepted, as one line of ``frames.txt`` each.

A line has the name of a shown field, a digest of its exact words, and four sums by which rounding is told from change.
A code may lie so near a half that another processor rounds it the other way; a digest would then cry wolf. So where
digests differ, the sums decide: each is the frame's codes under weights of +1 and −1 that belong to the row and to the
sample and are drawn by lot once for all; red counts three, green and blue minus one, so that neither a grey nor two
guns together cancel. N greys turned over at a tie move a sum by about √N: a whole row or column of them by a few dozen.
What can be seen moves some sum by hundreds: a vertical a twentieth of a sample further, a whole grey a code lighter.
``ROUNDING`` lies between; the tests hold it to both.

``python -m tests.golden`` shows what changed, ``python -m tests.golden --accept`` makes it the new gold.
"""

from collections.abc import Iterable, Iterator
from hashlib import blake2b
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from appliance.patterns.catalogue import catalogue
from appliance.patterns.picture import Frame, Picture
from appliance.video.formats import FORMATS

FILE = Path(__file__).parent / "frames.txt"
SUMS = 4
ROUNDING = 80
"""Most that every sum may move without the picture counting as changed."""
LATER_FIELDS = (1, 77)
"""Fields kept of a picture under a moving window, besides the first."""

Gold = dict[str, str]


class Shown(NamedTuple):
    """One field of a picture: ``name`` is ``key:variant format field``."""

    name: str
    frame: Frame


class Change(NamedTuple):
    """A name, and in a few words what became of it."""

    name: str
    what: str


def fields_of(picture: Picture) -> list[int]:
    """The first field; of a moving window some more; of frames taken in turn the first of each frame."""
    if picture.turns is None:
        return [0, *LATER_FIELDS] if picture.way else [0]
    order = [picture.turns.index(field) for field in range(picture.turns.period)]
    return [order.index(index) for index in sorted(set(order))]


def shown() -> Iterator[Shown | Change]:
    """Every pattern × variant × format: its fields, and as words the way its window goes or the turns it takes."""
    for name, fmt in FORMATS.items():
        for key, entry in catalogue().items():
            for variant in entry.variants:
                picture, title = entry.draw(fmt, variant), f"{key}:{variant} {name}"
                for field in fields_of(picture):
                    yield Shown(f"{title} {field}", picture.field(field, fmt.lines, fmt.samples))
                if entry.moving:
                    yield Change(f"{title} motion", motion(picture))


def motion(picture: Picture) -> str:
    """How a picture moves, in words that compare."""
    return repr(picture.way) if picture.turns is None else f"{picture.turns.shown} lit {sorted(picture.turns.lit)}"


def digest(frame: Frame) -> str:
    """Of the frame's words, little-endian."""
    return blake2b(np.ascontiguousarray(frame, "<u4").tobytes(), digest_size=6).hexdigest()


def _signs(count: int, seed: int) -> NDArray[np.float64]:
    # random_raw is the one stream that numpy promises to keep for ever.
    bits = np.random.PCG64(seed).random_raw(SUMS * count) >> np.uint64(63)
    return np.asarray(2.0 * bits - 1, np.float64).reshape(SUMS, count)


def sums(frame: Frame) -> list[int]:
    """The four sums of a frame; exact, since they stay far below 2**53."""
    lines, samples = frame.shape
    rows, columns = _signs(lines, 1), _signs(samples, 2)
    codes = sum(weight * (frame >> shift & 255).astype(float) for weight, shift in ((3, 16), (-1, 8), (-1, 0)))
    return [int(row @ codes @ column) for row, column in zip(rows, columns, strict=True)]


def entry_of(one: Shown | Change) -> str:
    """What a line of the file says after the name."""
    if isinstance(one, Change):
        return one.what
    return " ".join([digest(one.frame), *map(str, sums(one.frame))])


def read() -> Gold:
    """The file: name → entry."""
    lines = FILE.read_text(encoding="utf-8").splitlines() if FILE.exists() else []
    return dict(line.split("  ", 1) for line in lines if not line.startswith("#"))


def write(entries: Iterable[tuple[str, str]]) -> None:
    """The file anew."""
    head = "# Names of shown fields, digests and sums. Made by python -m tests.golden --accept; see tests/golden.\n"
    FILE.write_text(head + "".join(f"{name}  {entry}\n" for name, entry in entries), encoding="utf-8")


def judge(gold: Gold, one: Shown | Change) -> str:
    """What became of one field since it was accepted: "" for nothing, "rounding", "new", or "changed" and by how much.

    The sums are reckoned only where the digest differs, which keeps the whole catalogue to a few seconds.
    """
    if one.name not in gold:
        return "new"
    if isinstance(one, Change):
        return "" if gold[one.name] == one.what else f"changed: was {gold[one.name]}"
    was, *old = gold[one.name].split()
    if was == digest(one.frame):
        return ""
    furthest = max(abs(now - int(then)) for now, then in zip(sums(one.frame), old, strict=True))
    return "rounding" if furthest <= ROUNDING else f"changed: sums moved by up to {furthest}"


def compare(gold: Gold, drawn: Iterable[Shown | Change]) -> Iterator[tuple[Shown | Change, str]]:
    """Whatever is not as it was, with what became of it; at the end what is there no more."""
    met = set()
    for one in drawn:
        met.add(one.name)
        if verdict := judge(gold, one):
            yield one, verdict
    for name in gold.keys() - met:
        yield Change(name, ""), "gone"
