"""Calculation packages for embankments on geotextile-encased sand columns."""

__version__ = "0.1.0"
