"""What keys and timers mean to the box as a whole: the table that :class:`Box` is driven by."""

from enum import StrEnum

from appliance.activities.table import Move, Table


class State(StrEnum):
    """What the keys mean now. ``HOSTING``: whatever the activity that is on makes of them. ``BENEATH``: a format is
    offered while it goes on."""

    STEPPING = "stepping"
    CARD = "card"
    HOSTING = "hosting"
    CHOOSING = "choosing"
    OFFERED = "format offered"
    BENEATH = "format offered beneath"
    BLIND = "format by lamp"
    LEAVING = "shutting down"


_LEAVE = {"go+note": Move(State.LEAVING, "shut_down"), "show": Move(State.STEPPING, "drop_all")}
_CANCEL = Move(State.STEPPING, "cancel")
_HOST = Move(State.HOSTING, "begin_wanted")

TABLE: Table = {
    State.STEPPING: {
        **_LEAVE,
        "go timed": _HOST,
        "host": _HOST,
        "go held": Move(State.CHOOSING, "choose"),
        "go+vary": Move(State.OFFERED, "offer_next"),
        "vary at power-up": Move(State.BLIND, "begin_blind"),
        "card": Move(State.CARD, "show_card"),
        "refused": Move(State.STEPPING, "try_next"),
    },
    State.CARD: {
        **_LEAVE,
        "touch": Move(State.STEPPING, "drop_card"),
        "refused": Move(State.CARD, "try_next"),
        "vary at power-up": Move(State.BLIND, "begin_blind"),
    },
    State.HOSTING: {
        **_LEAVE,
        "over": Move(State.STEPPING, "end_guest"),
        "go+vary": Move(State.OFFERED, "offer_after"),
        "go+vary beneath": Move(State.BENEATH, "offer_next"),
    },
    State.CHOOSING: {
        **_LEAVE,
        "forward": Move(State.CHOOSING, "next_activity"),
        "back": Move(State.CHOOSING, "previous_activity"),
        "go on stepping": _CANCEL,
        "go on another": _HOST,
        "note": _CANCEL,
        "choice over": _CANCEL,
    },
    State.OFFERED: {
        **_LEAVE,
        "forward": Move(State.OFFERED, "offer_next"),
        "go+vary": Move(State.OFFERED, "offer_next"),
        "back": Move(State.OFFERED, "offer_previous"),
        "go": Move(State.STEPPING, "keep"),
        "note": Move(State.STEPPING, "take_back"),
        "offer over": Move(State.STEPPING, "take_back"),
        "refused": Move(State.STEPPING, "tell_refused"),
    },
    State.BENEATH: {
        **_LEAVE,
        "over": Move(State.STEPPING, "end_in_offer"),
        "forward": Move(State.BENEATH, "offer_next"),
        "go+vary": Move(State.BENEATH, "offer_next"),
        "back": Move(State.BENEATH, "offer_previous"),
        "go": Move(State.HOSTING, "keep_beneath"),
        **dict.fromkeys(("note", "note held", "vary held", "offer over"), Move(State.HOSTING, "take_back_beneath")),
        "refused": Move(State.HOSTING, "tell_refused_beneath"),
    },
    State.BLIND: {
        "not up": Move(State.BLIND, "count"),
        "next format": Move(State.BLIND, "blind_next"),
        "show": Move(State.STEPPING, "drop_all"),
        "refused": Move(State.BLIND, "blind_next"),
        "vary up": Move(State.STEPPING, "keep"),
        "give up": Move(State.STEPPING, "take_back"),
    },
    State.LEAVING: {"no way off": Move(State.STEPPING, "stay"), "show": Move(State.STEPPING, "drop_all")},
}
"""State → cue → where it leads, and the method of :class:`Box` that does the work."""
