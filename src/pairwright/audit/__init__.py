"""An independent judge of plans: re-reads the works and the plan, shares nothing with the planner."""

from pairwright.audit.case import Away
from pairwright.audit.reading import Violation
from pairwright.audit.verify import RULES, verify

__all__ = ["Away", "RULES", "Violation", "verify"]
