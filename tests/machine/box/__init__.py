"""The box in the machine: booted, pressed, looked at, hurt."""
