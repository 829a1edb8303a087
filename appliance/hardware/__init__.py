"""What the box is made of, behind three small protocols: Screen, Keys, Lamps."""
