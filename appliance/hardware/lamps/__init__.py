"""Lamps: three status LEDs. Blinking is reckoned by the activities; a lamp here is only on or off."""
