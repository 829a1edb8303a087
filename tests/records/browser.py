"""Pages opened in a headless browser, all in one start: what its console said, and what stood out of the page."""

import html
import json
import os
import shutil
import subprocess
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

import pytest

NAME = "chromium"
needs_browser = pytest.mark.skipif(
    shutil.which(NAME) is None and os.environ.get("FIELDMOUSE_BROWSER") != "require",
    reason=f"{NAME} is not installed (Debian: {NAME}); with FIELDMOUSE_BROWSER=require that is a failure",
)

A4 = "182mm"
"""Width of the printed part: A4 (ISO 216: 210 mm) less the page's own margins of 14 mm."""

PHONE, ON_PHONE = "360px", " on a phone"
"""Width of a narrow telephone's screen in CSS pixels (common practice, no source), and how its pages are named."""

_MEASURE = """
const told = {};
console.error("the console is heard");
for (const frame of document.querySelectorAll("iframe")) {
  const inside = frame.contentDocument, root = inside.documentElement, out = [];
  for (const part of inside.body.querySelectorAll("*")) {
    const edge = part.ownerSVGElement ? part.ownerSVGElement.getBoundingClientRect() : root.getBoundingClientRect();
    const place = part.getBoundingClientRect();
    if (place.width && (place.right > edge.right + 1 || place.left < edge.left - 1)) out.push(part.outerHTML);
  }
  const height = inside.body.getBoundingClientRect().height;
  told[frame.id] = {scroll: root.scrollWidth, client: root.clientWidth, height: height, out: out};
}
document.title = "measured";
document.body.textContent = JSON.stringify(told);
"""


class Opened(NamedTuple):
    """Lines of the browser's console; for each page its widths in CSS pixels, and elements that stand out of it."""

    console: list[str]
    pages: dict[str, dict[str, object]]


def opened(pages: Mapping[str, str], folder: Path) -> Opened:
    """Each page in a frame as wide as a sheet of A4, with the styles that are meant for print, and as on a phone."""
    style = f"<style>iframe {{ width: {A4}; height: 20000px; border: 0 }} .phone {{ width: {PHONE} }}</style>"
    frames = [f'<iframe id="{name}" srcdoc="{html.escape(_printed(page))}"></iframe>' for name, page in pages.items()]
    frames += [
        f'<iframe class="phone" id="{name}{ON_PHONE}" srcdoc="{html.escape(page)}"></iframe>'
        for name, page in pages.items()
        if name not in WRONG
    ]
    script = f"<script>onload = () => {{{_MEASURE}}}</script>"
    wrapper = folder / "pages.html"
    wrapper.write_text("\n".join(("<!DOCTYPE html><title>pages</title>", style, *frames, script)), "utf-8-sig")
    words = [
        NAME, "--headless=new", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder / 'profile'}",
        "--enable-logging=stderr", "--virtual-time-budget=5000", "--dump-dom", wrapper.as_uri(),
    ]  # fmt: skip
    done = subprocess.run(words, capture_output=True, text=True, timeout=120, check=True)
    body = done.stdout.partition("<body>")[2].partition("</body>")[0]
    return Opened([line for line in done.stderr.splitlines() if "CONSOLE" in line], json.loads(html.unescape(body)))


def _printed(page: str) -> str:
    assert "@media print" in page
    return page.replace("@media print", "@media all")


WIDE = "<!DOCTYPE html><title>wide</title><style>@media print { p { width: 300mm } }</style><p>wide</p>"
LOUD = "<!DOCTYPE html><title>loud</title><style>@media print {}</style><p>loud</p><script>nothing()</script>"
WRONG = {"wide": WIDE, "loud": LOUD}
"""Two pages that are wrong on purpose, to be opened with the others."""


def check_console(seen: Opened) -> None:
    """Of all pages only the loud one is complained of, beside the line that shows that the console is heard."""
    assert len(seen.console) == 2, seen.console
    assert "nothing is not defined" in seen.console[0]
    assert "the console is heard" in seen.console[1]


def check_width(seen: Opened, pages: int) -> None:
    """Of so many pages none is wider in print than the paper, and no part stands out of it, but of the wide one."""
    paper = {name: page for name, page in seen.pages.items() if not name.endswith(ON_PHONE)}
    good = {name: page for name, page in paper.items() if name not in WRONG}
    assert len(good) == pages
    assert {name: page["out"] for name, page in good.items() if page["out"]} == {}
    assert {name for name, page in paper.items() if page["scroll"] > page["client"]} == {"wide"}  # type: ignore[operator]
    assert seen.pages["wide"]["out"]


def check_phone(seen: Opened, pages: int) -> None:
    """None of so many pages has to be pushed sideways on a phone."""
    phone = {name: page for name, page in seen.pages.items() if name.endswith(ON_PHONE)}
    assert len(phone) == pages
    assert [name for name, page in phone.items() if page["scroll"] > page["client"]] == []  # type: ignore[operator]
