"""Recordings, responses, verdicts: from a signal to a judged curve."""
