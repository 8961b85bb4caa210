"""The project, and the business of the shop."""

__version__ = "0.1.0"
