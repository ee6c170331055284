"""Witnessmark: a spoken motorcycle walkround becomes a record that was reviewed."""

__version__ = "0.1.0"
