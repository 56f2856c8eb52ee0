"""Money and energy of a set."""
