"""The sheet of a soak: one page that holds everything, and the same as JSON."""

import json
from dataclasses import asdict
from datetime import tzinfo
from pathlib import Path
from typing import Any

from appliance import __version__
from appliance.records.entries import EventRecord, SoakRecord
from appliance.records.page import template
from appliance.records.report_drawing import LEFT, RIGHT, WIDTH, Drawing, health_curve, timeline
from appliance.records.report_facts import Story, printable, read_story, sheet
from appliance.records.report_time import sane

TEMPLATE = Path(__file__).with_name("report.html")


def as_json(record: SoakRecord, zone: tzinfo | None = None) -> str:
    """The sheet's words and numbers, and the whole log, as JSON; times in ``zone``, None for the machine's own."""
    story = read_story(record, zone)
    told: dict[str, Any] = asdict(sheet(story))
    told["log"] = [_logged(event, story) for event in record.events]
    return json.dumps(told, indent=2, ensure_ascii=False, allow_nan=False)


def _logged(event: EventRecord, story: Story) -> dict[str, Any]:
    return {
        "kind": printable(event.kind),
        "elapsed": sane(event.elapsed),
        "phase": event.phase,
        "words": printable(event.words),
        "when": story.course.when(event.moment),
    }


def as_page(record: SoakRecord, hot: float, zone: tzinfo | None = None) -> str:
    """The sheet as HTML that refers to nothing outside itself; ``hot``: °C from which the box is too hot."""
    story = read_story(record, zone)
    return _page(story, timeline(story), health_curve(story, hot))


def _page(story: Story, course: Drawing, health: Drawing | None) -> str:
    drawings = {"timeline": course, "health": health, "width": WIDTH, "left": LEFT, "right": RIGHT}
    return template(TEMPLATE).render(sheet=sheet(story), version=__version__, **drawings)
