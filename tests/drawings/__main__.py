"""Write every drawing anew."""

from tests.drawings import DRAWINGS, HERE

for name, draw in DRAWINGS.items():
    (HERE / name).write_text(draw(), encoding="utf-8")
    print(HERE / name)
