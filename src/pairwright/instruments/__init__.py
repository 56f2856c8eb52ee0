"""Doors to machines: folders that they write into."""
