"""Constants re-estimated from what happened: proposals with uncertainty, never silent changes."""
