"""Drillings of whole plates, chosen: from what is to be joined to ordinary drillings with plugs."""
