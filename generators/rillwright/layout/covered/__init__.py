"""Covered plates: channels milled into a body, a cover over them, cord and screws between. Lengths in mm."""
