"""Gatherfold: one YAML paper-craft design becomes a checked, drawn and typeset pattern.

The stages, each knowing only those before it::

    reading → design → resolve → checks, sheets, counts, drawings → documents

DEVELOPERS.md describes the data that passes between them.
"""

__version__ = "0.1.0"
