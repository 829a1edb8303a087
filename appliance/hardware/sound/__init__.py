"""Sound: a tone on the board's own output."""
