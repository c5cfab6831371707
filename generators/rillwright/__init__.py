"""Coolant plates for liquid-cooled machines: from a parameter file to proved solids."""

__version__ = "0.1.0"
