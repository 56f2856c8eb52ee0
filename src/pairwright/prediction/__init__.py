"""A set's response before anything is glued: from measured drive units and measured boards."""
