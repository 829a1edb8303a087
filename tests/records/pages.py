"""Pages taken apart, and texts that no page may take for anything but text."""

from collections import Counter
from xml.etree.ElementTree import Element

import html5lib

Shape = Counter[tuple[str, tuple[str, ...]]]
"""How often each element with its attributes' names is there."""

HOSTILE = (
    "<script>alert(1)</script>",
    "</title></style><img src=x onerror=alert(1)>",
    '" onload="alert(1)" x=\'',
    "]]></svg>",
    "&lt;b&gt; &#0; &amp",
    "<!-- --!> -->",
    "{{ 7 * 7 }} {% raw %}",
    "javascript:alert(1)",
    "A" * 3000,
    "\x00\x07\x85\ufffe\u202eabc\u2028d",
    "\ud800 alone",
    "מילה ١٢ 漢字 🐭",
)
"""Markup, ends of the page's contexts, its template's own language, what no page can hold, what turns letters round."""


def parsed(page: str) -> Element:
    """The document; raises for anything that is not as the standard (html.spec.whatwg.org) wants it written."""
    root: Element = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)
    return root


def shape(page: str) -> Shape:
    """How often each element with its attributes' names is on the page."""
    return Counter((str(part.tag), tuple(sorted(map(str, part.keys())))) for part in parsed(page).iter())


def text_of(page: str, between: str = "") -> str:
    """All that is there to read, outside of the style sheet; ``between`` elements stands what is handed in."""
    words = (text for part in parsed(page).iter() if part.tag != "style" for text in (part.text, part.tail) if text)
    return " ".join(between.join(words).split())


def outside(page: str) -> list[str]:
    """What on the page would be fetched or run: scripts, links, addresses other than pictures within it."""
    found = [
        str(part.tag) for part in parsed(page).iter() if part.tag in ("script", "link", "iframe", "object", "base")
    ]
    for part in parsed(page).iter():
        found += [value for name, value in part.items() if name in ("src", "href") and not value.startswith(_WITHIN)]
    return found + [word for word in ("url(", "@import") if word in page.replace("url(#", "")]


_WITHIN = "data:image/png;base64,"
