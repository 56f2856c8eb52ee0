"""What everything stands on: words, errors, findings, sources, quantities, time, laws.

Modules are imported by name (`from pairwright.base.words import text`); this face lists nothing, so
that a command that needs one of them does not pay for the others.
"""

__all__: list[str] = []
