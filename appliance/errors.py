"""The one error a person caused and can mend.

Nothing is imported here, so that every floor, the first picture's included, can raise it.
"""


class Refused(ValueError):
    """What was asked for cannot be done; the message names the value, the place and the remedy.

    The command line prints it as one line and ends with code 2; on the box it is shown on the screen.
    """
