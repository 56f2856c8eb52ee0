"""The acts of the user, one function each; what page, command and test have in common."""
