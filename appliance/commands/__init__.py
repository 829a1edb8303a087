"""The commands, one module each: what a person asked for on the command line, done or refused in one line."""
