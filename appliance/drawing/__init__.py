"""Drawing, in R'G'B' signal values: band-limited verticals, rows by area, places on the exact picture. Pure numpy."""
