"""Templates and style sheets of page and paper; no code."""
