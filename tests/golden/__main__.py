"""``python -m tests.golden``: what changed in the pictures, to be looked at; ``--accept`` makes it the new gold."""

import argparse
import sys
from pathlib import Path

from tests.golden import Shown, compare, entry_of, read, shown, write
from tests.golden.looking import show_changes


def main() -> int:
    """0 when nothing changed or it was accepted, else 1."""
    words = argparse.ArgumentParser(prog="python -m tests.golden", description=__doc__)
    words.add_argument("--accept", action="store_true", help="what is drawn now is as it should be")
    words.add_argument("-o", "--out", type=Path, default=Path("rehearsal/changed"), help="the folder for what changed")
    words.add_argument("--since", default="HEAD", metavar="REV", help="the commit whose pictures stand for before")
    words.add_argument("--pictures", action="store_true", help="draw the README's pictures anew, and nothing else")
    options = words.parse_args()
    if options.pictures:
        from tests.golden.pictures import write_pictures

        write_pictures()
        return 0
    if options.accept:
        write((one.name, entry_of(one)) for one in shown())
        return 0
    changes = list(compare(read(), shown()))
    for one, verdict in changes:
        print(f"{one.name}: {verdict}")
    seen = [one for one, verdict in changes if isinstance(one, Shown) and verdict != "rounding"]
    show_changes(seen, read(), options.since, options.out)
    print(f"{len(changes)} differ; python -m tests.golden --accept takes them" if changes else "nothing changed")
    return 1 if changes else 0


if __name__ == "__main__":
    sys.exit(main())
