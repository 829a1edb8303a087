"""What each key and each timer means in each state of a soak: the table that :class:`Soaking` is driven by."""

from enum import StrEnum

from appliance.activities.table import Move, Table


class State(StrEnum):
    """What the keys mean now."""

    CAUTION = "caution"
    CUT = "cut"
    WARMING = "dim start"
    RUNNING = "running"
    BLACK = "black"
    PAUSED = "paused"
    ABSENT = "nobody there"
    OFFERED = "look offered"
    LOOKING = "looking"
    NOTING = "noting"
    ENDING = "end asked"
    RESTING = "set off"
    WAITING = "rest over"
    DONE = "done"
    OVER = "over"


def _beating(state: State) -> dict[str, Move]:
    return {"minute": Move(state, "beat")}


_RUN, _PAUSE = Move(State.RUNNING, "run"), Move(State.PAUSED, "wait")
_ASK, _ASK_AND_WAIT = Move(State.ENDING, "ask_end"), Move(State.ENDING, "ask_end_and_wait")
_LOSE = {"screen lost": Move(State.PAUSED, "lose"), "too hot": Move(State.PAUSED, "cool")}
WAITS = ", then wait"
"""What is added to a cue of a menu that was opened while the soak waited: it leads back there."""

TABLE: Table = {
    State.CAUTION: {
        **dict.fromkeys(("go", "forward", "next page"), Move(State.CAUTION, "next_page")),
        "back": Move(State.CAUTION, "page_before"),
        "go held": Move(State.WARMING, "start"),
        "note": Move(State.OVER, "leave"),
        "caution over": Move(State.OVER, "leave"),
        "was cut": Move(State.CUT, "tell_cut"),
        "was cut, goes on": Move(State.WARMING, "go_on_after_cut"),
        "was cut, rests on": Move(State.RESTING, "rest_on_after_cut"),
    },
    State.CUT: {
        **_beating(State.CUT),
        "go held": Move(State.WARMING, "take_up"),
        "go held, set off": Move(State.RESTING, "take_up_rest"),
        "note held": Move(State.OVER, "end"),
    },
    State.WARMING: {
        **_beating(State.WARMING),
        "warm": Move(State.RUNNING, "begin"),
        "note held": _ASK_AND_WAIT,
        **_LOSE,
    },
    State.RUNNING: {
        "minute": Move(State.RUNNING, "tell"),
        "words over": Move(State.RUNNING, "hush"),
        "touch bright": Move(State.BLACK, "go_black"),
        "go": Move(State.PAUSED, "pause"),
        "skip": Move(State.RUNNING, "skip"),
        "skip to rest": Move(State.RESTING, "skip_to_rest"),
        "skip to end": Move(State.DONE, "skip_to_end"),
        "vary": Move(State.LOOKING, "begin_look"),
        "note": Move(State.NOTING, "begin_note"),
        "note held": _ASK,
        "phase over": Move(State.RUNNING, "next_phase"),
        "rest begins": Move(State.RESTING, "begin_rest"),
        "all over": Move(State.DONE, "finish"),
        "look due": Move(State.OFFERED, "offer"),
        "absent": Move(State.ABSENT, "go_absent"),
        **_LOSE,
        "never up": Move(State.PAUSED, "give_up"),
    },
    State.BLACK: {**_beating(State.BLACK), "touch": _PAUSE},
    State.PAUSED: {
        **_beating(State.PAUSED),
        "go": Move(State.RUNNING, "resume"),
        "go cold": Move(State.WARMING, "switch_on"),
        "note": Move(State.NOTING, "begin_note_and_wait"),
        "note held": _ASK_AND_WAIT,
    },
    State.ABSENT: {**_beating(State.ABSENT), "touch": Move(State.RUNNING, "come_back")},
    State.OFFERED: {
        **_beating(State.OFFERED),
        "go": Move(State.LOOKING, "begin_look"),
        **dict.fromkeys(("forward", "note", "offer over"), Move(State.RUNNING, "miss_look")),
        **_LOSE,
    },
    State.LOOKING: {
        **_beating(State.LOOKING),
        "forward": Move(State.LOOKING, "more"),
        "back": Move(State.LOOKING, "less"),
        "go": Move(State.LOOKING, "keep_item"),
        "vary": Move(State.LOOKING, "skip_item"),
        "go last": Move(State.RUNNING, "keep_last_item"),
        **dict.fromkeys(("vary last", "note", "look over"), Move(State.RUNNING, "close_look")),
        **_LOSE,
    },
    State.NOTING: {
        **_beating(State.NOTING),
        "forward": Move(State.NOTING, "next_kind"),
        "back": Move(State.NOTING, "kind_before"),
        "go": Move(State.RUNNING, "keep_note"),
        "go" + WAITS: Move(State.PAUSED, "keep_note_and_wait"),
        "note": _RUN,
        "note" + WAITS: _PAUSE,
        "given up": _RUN,
        "given up" + WAITS: _PAUSE,
        **_LOSE,
    },
    State.ENDING: {
        **_beating(State.ENDING),
        "go": Move(State.OVER, "end"),
        **dict.fromkeys(("forward", "back", "vary", "note", "given up"), _RUN),
        **{cue + WAITS: _PAUSE for cue in ("forward", "back", "vary", "note", "given up")},
        **_LOSE,
    },
    State.RESTING: {
        **_beating(State.RESTING),
        "rest over": Move(State.WAITING, "end_rest"),
        "forward": Move(State.WAITING, "cut_rest_short"),
    },
    State.WAITING: {
        **_beating(State.WAITING),
        "go": Move(State.WARMING, "switch_on"),
        "note held": _ASK_AND_WAIT,
    },
    State.DONE: {**_beating(State.DONE), "touch": Move(State.OVER, "leave")},
    State.OVER: {},
}
"""State → cue → where it leads, and the method of :class:`Soaking` that does the work."""
