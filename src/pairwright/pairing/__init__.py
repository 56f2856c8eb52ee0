"""Which piece goes with which: matching of halves and parts by measured likeness."""
