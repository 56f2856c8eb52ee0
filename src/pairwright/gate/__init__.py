"""What may leave: everything that a set lacks, and why, before anybody signs."""

from pairwright.gate.lacking import RULES, Asked, Lack, lacking

__all__ = ["Asked", "Lack", "RULES", "lacking"]
