"""Screens: the composite connector (``kms``), a desktop window (``window``), kept frames (``memory``)."""
