"""From the first shots off a new steel tool to the start of production, and back again."""

__version__ = "0.1.0"
