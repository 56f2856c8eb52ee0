"""Schedules: placed, searched, bounded, explained and forecast. Knows works and base only."""
