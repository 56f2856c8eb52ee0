"""Simulated people, machines and loudspeakers; what they leave is marked as simulated."""
