"""What each key and each timer means in each state of a viewing: the table that :class:`Viewing` is driven by.

A cue that leads to another step names the sort of what it leads to, as in ``go to moving``, for each sort has a state
of its own. ``vary`` held is the one key for danger everywhere: its short meaning goes by choices that do no harm, and a
second's hold keeps a brush of the thumb from ending a visit. ``note`` held takes the last note back everywhere.
"""

from collections.abc import Iterable
from enum import StrEnum

from appliance.activities.table import Move, Table


class State(StrEnum):
    """What the keys mean now."""

    CUT = "cut short"
    CARD = "opening card"
    STEP = "at a step"
    READY = "caution before it moves"
    MOVING = "moving"
    FLASHING = "light and dark"
    ASKED = "caution before a load"
    LOAD = "load"
    BLACKING = "black asked for"
    BLACK = "black"
    NOTING = "noting"
    ZONE = "where it is"
    DANGER = "danger"
    ENDING = "end asked"
    END = "end"
    CODE = "code"
    SPARED = "code spared"
    OVER = "over"


CARD, END, HERE_IN_DANGER = "card", "end", "danger"
LANDS = {
    "still": State.STEP, "moving": State.READY, "load": State.ASKED,
    CARD: State.CARD, END: State.END, HERE_IN_DANGER: State.DANGER,
}  # fmt: skip
"""The sort of what a cue leads to → the state that it is shown in."""

STEPS = ("still", "moving", "load")
FURTHER, EARLIER, HERE = (*STEPS, END), (*STEPS, CARD), (*STEPS, CARD)


def _leads(cue: str, sorts: Iterable[str], do: str) -> dict[str, Move]:
    return {f"{cue} to {sort}": Move(LANDS[sort], do) for sort in sorts}


def _always(state: State) -> dict[str, Move]:
    return {
        "vary held": Move(State.DANGER, "endanger"),
        "message over": Move(state, "drop_message"),
        "turn": Move(state, "turn_page"),
        "swap": Move(state, "swap_place"),
    }


def _undo(state: State) -> dict[str, Move]:
    return {"note held": Move(state, "take_back")}


_ROUTE = {
    **_leads("forward", FURTHER, "go_further"),
    **_leads("back", EARLIER, "go_back"),
    "note": Move(State.NOTING, "begin_note"),
    "go held": Move(State.ENDING, "ask_end"),
}
_FINE = _leads("go", FURTHER, "find_fine")
_ON = _leads("time over", FURTHER, "go_on")
_RETURN = [_leads(cue, HERE, "return_here") for cue in ("forward", "back", "vary", "note", "given up")]
_BLACK = Move(State.BLACKING, "go_black")


def _choices(state: State) -> dict[str, Move]:
    return {
        "digit": Move(state, "take_zone"),
        **_leads("go", STEPS, "keep_note"),
        "go danger": Move(State.DANGER, "keep_danger"),
        "rest over": Move(state, "dim"),
    }


TABLE: Table = {
    State.CUT: {
        **_always(State.CUT),
        **_leads("go", HERE, "take_up"),
        "note": Move(State.OVER, "leave"),
        "note held": Move(State.OVER, "finish"),
    },
    State.CARD: {
        **_always(State.CARD),
        "forward": Move(State.CARD, "next_path"),
        "back": Move(State.CARD, "path_before"),
        "vary": Move(State.CARD, "change_warmth"),
        **_leads("go", FURTHER, "start"),
        "go held": Move(State.ENDING, "ask_end"),
    },
    State.STEP: {
        **_always(State.STEP),
        **_ROUTE,
        **_undo(State.STEP),
        **_FINE,
        **_ON,
        "vary": Move(State.STEP, "vary"),
        "vary moving": Move(State.READY, "vary"),
        "words over": Move(State.STEP, "next_words"),
        "time up": Move(State.STEP, "be_done"),
        "rest over": Move(State.STEP, "dim"),
        "screen lost": Move(State.STEP, "hold"),
    },
    State.READY: {
        **_always(State.READY),
        **_ROUTE,
        **_undo(State.READY),
        "vary": Move(State.READY, "vary"),
        "rest over": Move(State.READY, "dim"),
        "go": Move(State.MOVING, "begin_moving"),
        "go unread": Move(State.READY, "drop_message"),
        "go flashing": Move(State.FLASHING, "begin_moving"),
    },
    State.MOVING: {
        **_always(State.MOVING),
        **_ON,
        "touch": Move(State.STEP, "stop"),
        "time up": Move(State.MOVING, "be_done"),
        "screen lost": Move(State.STEP, "stop"),
    },
    State.FLASHING: {
        **_always(State.FLASHING),
        **_ON,
        "touch": _BLACK,
        "time up": Move(State.FLASHING, "be_done"),
        "screen lost": _BLACK,
    },
    State.ASKED: {
        **_always(State.ASKED),
        **_ROUTE,
        **_undo(State.ASKED),
        "loaded": Move(State.LOAD, "nothing"),
    },
    State.LOAD: {**_always(State.LOAD), **_ON, "touch": _BLACK, "went black": _BLACK},
    State.BLACKING: {
        **_always(State.BLACKING),
        "touch": Move(State.BLACKING, "nothing"),
        "settled": Move(State.BLACK, "nothing"),
    },
    State.BLACK: {**_always(State.BLACK), **_ROUTE, **_undo(State.BLACK), **_leads("go", STEPS, "return_here")},
    State.NOTING: {
        **_always(State.NOTING),
        **_leads("note held", STEPS, "take_back_here"),
        **_choices(State.NOTING),
        "vary": Move(State.NOTING, "change_severity"),
        "forward": Move(State.NOTING, "next_kind"),
        "back": Move(State.NOTING, "kind_before"),
        "go more": Move(State.NOTING, "open_more"),
        "go held": Move(State.ZONE, "begin_zone"),
        **_leads("note", STEPS, "return_here"),
    },
    State.ZONE: {
        **_always(State.ZONE),
        **_leads("note held", STEPS, "take_back_here"),
        **_choices(State.ZONE),
        "forward": Move(State.ZONE, "next_zone"),
        "back": Move(State.ZONE, "zone_before"),
        "vary": Move(State.ZONE, "zone_below"),
        "note": Move(State.NOTING, "leave_zone"),
    },
    State.DANGER: {
        **_always(State.DANGER),
        "vary held": Move(State.DANGER, "nothing"),
        "forward": Move(State.DANGER, "next_danger"),
        "back": Move(State.DANGER, "danger_before"),
        "go": Move(State.DANGER, "tell_danger"),
        "go unread": Move(State.DANGER, "ask_danger"),
        "note": Move(State.END, "arrive_at_end"),
        **_undo(State.DANGER),
        **_leads("note held", HERE, "take_back_here"),
    },
    State.ENDING: {
        **_always(State.ENDING),
        "go": Move(State.END, "arrive_at_end"),
        **{cue: move for leads in _RETURN for cue, move in leads.items()},
    },
    State.END: {
        **_always(State.END),
        **_undo(State.END),
        "forward": Move(State.END, "next_page"),
        "back": Move(State.END, "page_before"),
        "go": Move(State.END, "last_page"),
        **_leads("back", (*HERE, HERE_IN_DANGER), "return_here"),
        "vary": Move(State.END, "judge"),
        "note": Move(State.CODE, "begin_code"),
        "no code": Move(State.END, "tell_no_code"),
        "go last": Move(State.OVER, "finish"),
    },
    State.CODE: {
        **_always(State.CODE),
        "forward": Move(State.CODE, "next_code"),
        "back": Move(State.CODE, "code_before"),
        **dict.fromkeys(("go", "note"), Move(State.END, "arrive_at_end")),
        "rest over": Move(State.SPARED, "spare_code"),
    },
    State.SPARED: {**_always(State.SPARED), "touch": Move(State.CODE, "show_code")},
    State.OVER: {},
}
"""State → cue → where it leads, and the method of :class:`Viewing` that does the work."""
