"""A machine to try the appliance on: Debian's kernel in an emulator, a composite encoder, key lines."""
